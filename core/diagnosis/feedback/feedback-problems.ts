import {
  feedbackKinds,
  type DocumentProblem,
  type Exercise,
  type FeedbackSettings,
  type Path,
} from '../../exercise/index.ts'
import { feedbackCatalogue } from './feedback-catalogue.ts'

/**
 * Names in feedback settings that no message of the exercise has, each with what is allowed. For the settings of a course
 * (null) those names are right that every exercise has, and names of checks, which may belong to any.
 */
export function feedbackProblems(settings: FeedbackSettings, exercise: Exercise | null): readonly DocumentProblem[] {
  const known = new Set(feedbackCatalogue(exercise).map(({ id }) => id))
  const ofSomeCheck = /^(gap|task-rule)\.|^concept\./
  const isKnown = (name: string): boolean => known.has(name) || (exercise === null && ofSomeCheck.test(name))
  const kinds: readonly string[] = feedbackKinds
  const problems: DocumentProblem[] = []
  for (const [i, name] of settings.off.entries()) {
    if (!kinds.includes(name) && !isKnown(name))
      problems.push(unknownName(['feedback', 'off', i], name, [...kinds, ...known]))
  }
  for (const name of Object.keys(settings.texts)) {
    if (!isKnown(name)) problems.push(unknownName(['feedback', 'texts', name], name, [...known]))
  }
  return problems
}

function unknownName(path: Path, name: string, names: readonly string[]): DocumentProblem {
  const nearest = nearestName(name, names)
  const sameKind = names.filter((each) => each.startsWith(name.slice(0, name.indexOf('.') + 1)) && name.includes('.'))
  const some = (sameKind.length > 0 ? sameKind : names).slice(0, 12)
  const allowed = `a message of this exercise: ${some.join(', ')}${some.length < names.length ? ' and others' : ''}`
  const found = `'${name}'`
  const at = `feedback.${path.slice(1).join('.')}`
  const hint = nearest === null ? '' : ` Did you mean '${nearest}'?`
  const message = `${at}: found ${found}, allowed ${allowed}.${hint}`
  return { path, code: 'unknown-message', found, allowed, nearest, message }
}

/** The name with the longest common beginning and end; null where less than half of it is alike. */
function nearestName(name: string, names: readonly string[]): string | null {
  const alike = (other: string): number => {
    let start = 0
    while (start < name.length && name[start] === other[start]) start += 1
    let end = 0
    while (end < name.length - start && name.at(-1 - end) === other.at(-1 - end) && end < other.length - start) end += 1
    return (start + end) / Math.max(name.length, other.length)
  }
  const [best] = names.toSorted((a, b) => alike(b) - alike(a))
  return best !== undefined && alike(best) >= 0.6 ? best : null
}
