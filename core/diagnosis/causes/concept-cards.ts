import { flagAndRegisterCards } from './cards/flags-and-registers.ts'
import { keyingCards } from './cards/keying.ts'
import { loopAndMemoryCards } from './cards/loops-and-memory.ts'
import { timeAndTaskCards } from './cards/time-and-task.ts'
import type { CauseId } from './cause-ids.ts'
import type { ConceptCard } from './cause.ts'

/** A card for every cause: the concept behind it with one worked example. */
export const conceptCards: Readonly<Record<CauseId, ConceptCard>> = {
  ...keyingCards,
  ...flagAndRegisterCards,
  ...loopAndMemoryCards,
  ...timeAndTaskCards,
}
