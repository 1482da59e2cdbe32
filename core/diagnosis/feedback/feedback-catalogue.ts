import type { Exercise } from '../../exercise/index.ts'
import { causeIds } from '../causes/cause-ids.ts'
import { conceptCards } from '../causes/concept-cards.ts'
import { detectorOf } from '../causes/detectors.ts'
import type { CataloguedMessage } from './feedback-message.ts'
import { kindOfMessage, reportWords, ruleKinds } from './usual-words.ts'

/**
 * Every message that an exercise may give, with its usual words; words in round brackets are filled in from the run. Of a
 * course (null) those that every exercise has.
 */
export function feedbackCatalogue(exercise: Exercise | null): readonly CataloguedMessage[] {
  const ofReport = Object.entries(reportWords).map(([id, text]) => ({ id, kind: kindOfMessage(id), text }))
  const ofCauses = causeIds.flatMap((id): readonly CataloguedMessage[] => [
    { id: `mistake.${id}`, kind: 'mistake', text: `${detectorOf(id).title}. (What was found, and what it should be.)` },
    { id: `concept.${id}`, kind: 'concept', text: cardText(conceptCards[id]) },
  ])
  const score: CataloguedMessage = { id: 'result.report', kind: 'result', text: '(Marks, and how many checks passed.)' }
  return [score, ...(exercise === null ? [] : ofExercise(exercise)), ...ofReport, ...ofCauses]
}

function ofExercise({ checks, cards }: Exercise): readonly CataloguedMessage[] {
  const ofChecks = checks.map(({ id, kind, title }): CataloguedMessage => {
    const own = ruleKinds.includes(kind) ? 'task-rule' : 'gap'
    return { id: `${own}.${id}`, kind: own, text: `${title}: (what was found and what was wanted.)` }
  })
  const ofCards = cards.map((card): CataloguedMessage => ({
    id: `concept.${card.id}`,
    kind: 'concept',
    text: cardText(card),
  }))
  return [...ofChecks, ...ofCards.filter(({ id }) => !causeIds.some((cause) => id === `concept.${cause}`))]
}

/** A card as one text. */
export function cardText({ title, text, example }: { title: string; text: string; example: string }): string {
  const whole = (part: string): string => part.replace(/\s+/g, ' ').trim()
  return `${title}. ${whole(text)} Example: ${whole(example)}`
}
