import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import type { Idea } from './proposal.ts'

/** What ideas are made from. */
export interface Observed {
  readonly brief: string
  readonly ends: 'halt' | 'return'
  /** The runs are the beginnings of longer ones: what stands at their ends is not the program's doing. */
  readonly isCut: boolean
  readonly program: Program
  readonly profile: BoardProfile
  readonly runs: readonly ModelBehaviour[]
}

/** Ids of cases, and whether students may see them. */
function casesOf({ runs }: Observed, isVisible: boolean): readonly string[] {
  return [
    ...new Set(runs.filter(({ instance }) => instance.isVisible === isVisible).map(({ instance }) => instance.of.id)),
  ]
}

/** The same idea for the cases that students see and, hidden, for the others. */
export function onAllCases(observed: Observed, idea: Idea, wayOf: Idea['ways']): readonly Idea[] {
  const [seen, unseen] = [casesOf(observed, true), casesOf(observed, false)]
  if (seen.length === 0 || unseen.length === 0) return [{ ...idea, ways: wayOf }]
  return [
    { ...idea, ways: wayOf.map((way) => ({ ...way, cases: seen })) },
    {
      ...idea,
      id: `${idea.id}-others`,
      title: `${idea.title}, other inputs`,
      ways: wayOf.map((way) => ({ ...way, cases: unseen, visible: false })),
    },
  ]
}

/** The sentences of a task that name a word. */
export function sentencesWith(brief: string, word: RegExp): readonly string[] {
  return brief
    .split(/[.;:!?](?:\s|$)/)
    .map((sentence) => sentence.replace(/\s+/g, ' '))
    .filter((sentence) => word.test(sentence))
}
