import type { BoardProfile } from '../board/index.ts'
import type { ExerciseCase, Given } from './case.ts'
import type { Check } from './check-schema.ts'
import { ownFields } from './check-schema.ts'
import { kindNamed } from './checks/index.ts'
import type { Exercise } from './exercise.ts'
import { exerciseFor, withoutOwnConstants } from './exercise-for.ts'
import { idleKeysOf, idleSwitchesOf } from './idle-inputs.ts'
import { prepareCheck } from './parse.ts'
import { rangesWithoutHiddenDrivers } from './program-place.ts'
import { studentQuestion, type StudentQuestion } from './question.ts'

/** What a student may know of a visible check. */
export interface StudentCheck {
  readonly id: string
  readonly kind: string
  readonly title: string
  readonly group: string
  readonly weight: number
  readonly gate: boolean
  /** Whether its marks go by the share of runs, or of parts, that are right. */
  readonly credit: Check['credit']
  /** The visible cases it is decided on. */
  readonly cases: readonly string[]
  /** What is wanted, in words, on its visible cases; null without a profile, without a visible case, and where it tells no more than right or wrong. */
  readonly wanted: string | null
}

/** A rung of the ladder before its question is answered. */
export interface StudentHint extends Omit<Exercise['hints'][number], 'say'> {
  /** Its place in `hints` of the exercise, from 0: what to ask for once the question is answered. */
  readonly number: number
}

/**
 * An exercise as a student may have it: no model answer, no hint but its question; of hidden cases only their number; of
 * hidden checks only the group and the category; of constants the student's own values. `runRequestFor` takes it for the
 * visible cases.
 */
export interface StudentView extends Omit<
  Exercise,
  'format' | 'model' | 'checks' | 'written' | 'feedback' | 'hints' | 'questions'
> {
  readonly format: 'hexcairn-exercise-view/1'
  readonly hints: readonly StudentHint[]
  readonly questions: readonly StudentQuestion[]
  readonly hiddenCases: number
  readonly visibleChecks: readonly StudentCheck[]
  readonly hiddenChecks: readonly { readonly group: string; readonly category: string }[]
}

/**
 * The exercise without what students may not see, with the constants of the student whose seed it is. With `profile` each
 * check says in words what it wants.
 */
export function studentView(of: Exercise, profile?: BoardProfile, seed = 0): StudentView {
  const exercise = exerciseFor(of, seed)
  const { model: _model, checks, format: _format, written: _written, feedback: _feedback, ...shared } = exercise
  const visibleCases = exercise.cases.filter((each) => each.visible)
  const visibleChecks = checks.filter((check) => check.visible)
  const visibleIds = visibleChecks.map((check) => check.id)
  const shown = (each: { readonly checks: readonly string[] }): boolean =>
    each.checks.length === 0 || each.checks.some((id) => visibleIds.includes(id))
  const withoutHidden = <T extends { readonly checks: readonly string[] }>(each: T): T => ({
    ...each,
    checks: each.checks.filter((id) => visibleIds.includes(id)),
  })
  // Which keys and switches are the others, and where a driver stands, hidden cases say too.
  const ranges = profile === undefined ? null : rangesWithoutHiddenDrivers(exercise, profile)
  const named = <T extends Given | null>(given: T): T | Given =>
    given === null || profile === undefined ? given : withNamedIdle(exercise, given, profile)
  return {
    ...shared,
    constants: constantsSeen(of, exercise, shown),
    program: ranges === null ? shared.program : { ...shared.program, ranges },
    given: named(exercise.given),
    format: 'hexcairn-exercise-view/1',
    groups: exercise.groups.map((group) => ({
      ...group,
      restsOn: group.restsOn.filter((id) => visibleIds.includes(id) || exercise.groups.some((each) => each.id === id)),
    })),
    questions: exercise.questions.map(studentQuestion),
    cases: visibleCases.map((each) => ({
      ...withoutUnseenValues(each, visibleChecks),
      given: named(each.given),
    })),
    hiddenCases: exercise.cases.length - visibleCases.length,
    visibleChecks: visibleChecks.map((check) => studentCheck(exercise, check, profile)),
    hiddenChecks: checks
      .filter((check) => !check.visible)
      .map((check) => ({ group: check.group, category: kindNamed(check.kind)?.category ?? check.kind })),
    hints: exercise.hints
      .map((hint, number) => ({ ...hint, number }))
      .filter(shown)
      .map(({ say: _say, ...hint }) => withoutHidden(hint)),
    cards: exercise.cards.filter(shown).map(withoutHidden),
  }
}

/** Those constants that something names which the student may see; another one would tell of hidden cases. */
function constantsSeen(
  of: Exercise,
  own: Exercise,
  isShown: (each: { readonly checks: readonly string[] }) => boolean,
): Exercise['constants'] {
  const { written, given, cases, brief, cautions, groups, checks, hints, cards, program } = withoutOwnConstants(of)
  const writtenCases = Array.isArray(written?.cases) ? written.cases : cases
  const seen = JSON.stringify([
    [brief, cautions, groups, program, written?.given ?? given],
    writtenCases.filter((_, i) => cases[i]?.visible === true),
    checks.filter((check) => check.visible),
    hints.filter(isShown).map(({ say: _say, ...hint }) => hint),
    cards.filter(isShown),
  ])
  // In a driver a constant is a name of the assembler, in letters of either case.
  return own.constants.filter(({ name }) => new RegExp(`\\b${name}\\b`, 'i').test(seen))
}

/** With the idle keys and switches by their names instead of `others`. */
function withNamedIdle(exercise: Exercise, given: Given, profile: BoardProfile): Given {
  return {
    ...given,
    idleKeys: given.idleKeys === null ? null : idleKeysOf(exercise, given.idleKeys, profile),
    idleSwitches: given.idleSwitches === null ? null : idleSwitchesOf(exercise, given.idleSwitches, profile),
  }
}

/** A case with those of its values only that a visible check wants. */
function withoutUnseenValues(each: ExerciseCase, visible: readonly Check[]): ExerciseCase {
  const used = visible
    .filter((check) => check.cases === null || check.cases.includes(each.id))
    .map((check) => JSON.stringify(ownFields(check)))
  const isUsed = (name: string): boolean => used.some((text) => text.includes(`"$${name}"`))
  const seen = (expect: ExerciseCase['expect']): ExerciseCase['expect'] =>
    Object.fromEntries(Object.entries(expect).filter(([name]) => isUsed(name)))
  return {
    ...each,
    expect: seen(each.expect),
    calls: each.calls.map((call) => ({ ...call, expect: seen(call.expect) })),
  }
}

function studentCheck(exercise: Exercise, check: Check, profile: BoardProfile | undefined): StudentCheck {
  const cases = exercise.cases.filter((each) => each.visible && (check.cases === null || check.cases.includes(each.id)))
  return {
    id: check.id,
    kind: check.kind,
    title: check.title,
    group: check.group,
    weight: check.weight,
    gate: check.gate,
    credit: check.credit,
    cases: cases.map((each) => each.id),
    wanted: profile === undefined || check.tells === 'result' ? null : wantedText(exercise, check, cases, profile),
  }
}

function wantedText(
  exercise: Exercise,
  check: Check,
  cases: readonly ExerciseCase[],
  profile: BoardProfile,
): string | null {
  const texts = cases.map((each) => ({
    title: each.title ?? each.id,
    text: prepareCheck(exercise, check, each.id)?.describe(profile) ?? '',
  }))
  const [first] = texts
  if (first === undefined) return null
  if (texts.every(({ text }) => text === first.text)) return first.text
  return texts.map(({ title, text }) => `${title}: ${text}`).join('; ')
}
