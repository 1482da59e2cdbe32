import {
  feedbackKinds,
  usualStart,
  type Exercise,
  type FeedbackKind,
  type FeedbackSettings,
} from '../../exercise/index.ts'
import { startIn, studentReport, type CheckResult, type Decision, type Report } from '../../grading/index.ts'
import type { CauseId } from '../causes/cause-ids.ts'
import { conceptCards } from '../causes/concept-cards.ts'
import { cardText } from './feedback-catalogue.ts'
import type { FeedbackMessage } from './feedback-message.ts'
import { kindOfMessage, reportWords, ruleKinds, type ReportMessageId } from './usual-words.ts'

/** What of a cause the messages need. */
export interface ToldCause {
  readonly id: string
  readonly title: string
  readonly message: string
  readonly caseId: string | null
  readonly step: number | null
  readonly t: number | null
  readonly address: number | null
  readonly checkIds: readonly string[]
  readonly isVisible: boolean
}

/** What of a diagnosis the messages need; `hint` narrows the place of the edit that would mend it. */
export interface ToldDiagnosis {
  readonly causes: readonly ToldCause[]
  readonly hint?: string | null
  readonly counterexample: {
    readonly isVisible: boolean
    readonly inputs: readonly string[]
    readonly check: Pick<CheckResult, 'id' | 'isVisible' | 'measured' | 'wanted'>
  } | null
}

export interface FeedbackRequest {
  readonly report: Report
  /** Null before it is there. */
  readonly diagnosis: ToldDiagnosis | null
  readonly exercise: Exercise
  /** Of course and exercise together: see `mergedFeedback`. */
  readonly settings: FeedbackSettings
  readonly reader: 'student' | 'staff'
}

/** Most causes told; the first is right four times out of five. */
const mostCauses = 3

/**
 * All messages with a report, each with its kind, in the order of the settings, without what they switch off, in their
 * words where they have some. A student's hold nothing of hidden checks and cases but their category.
 */
export function feedbackFor({
  report,
  diagnosis,
  exercise,
  settings,
  reader,
}: FeedbackRequest): readonly FeedbackMessage[] {
  const isStudent = reader === 'student'
  const seen = isStudent ? studentReport(report) : report
  const told = diagnosis === null || !isStudent ? diagnosis : forStudent(diagnosis, seen, exercise)
  const causes = (told?.causes ?? []).slice(0, mostCauses)
  const messages = [
    ...results(seen),
    ...mistakes(causes, report),
    ...concepts(causes, seen, exercise),
    ...nextSteps(seen, told, exercise),
    ...reflections(seen),
  ]
  const order = orderOf(settings)
  const off: readonly string[] = settings.off
  const texts: Readonly<Record<string, string>> = settings.texts
  return messages
    .filter(({ id, kind }) => !off.includes(id) && !off.includes(kind))
    .map((message) => ({ ...message, text: texts[message.id] ?? message.text }))
    .toSorted((a, b) => order.indexOf(a.kind) - order.indexOf(b.kind))
}

function orderOf({ order }: FeedbackSettings): readonly FeedbackKind[] {
  return [...new Set([...(order ?? []), ...feedbackKinds])]
}

/** Settings of several levels in one: a later level wins, what one switches off stays off. */
export function mergedFeedback(...levels: readonly FeedbackSettings[]): FeedbackSettings {
  return {
    order: levels.findLast(({ order }) => order !== null)?.order ?? null,
    off: [...new Set(levels.flatMap(({ off }) => off))],
    texts: Object.assign({}, ...levels.map(({ texts }) => texts)) as Record<string, string>,
  }
}

/** Only what shows on visible cases and in checks that tell more than right or wrong. */
function forStudent(diagnosis: ToldDiagnosis, report: Report, { repair }: Exercise): ToldDiagnosis {
  const open = new Set(report.checks.filter(({ isVisible, tells }) => isVisible && tells === 'gap').map(({ id }) => id))
  const { counterexample } = diagnosis
  const isOpen =
    counterexample !== null &&
    counterexample.isVisible &&
    counterexample.check.isVisible &&
    open.has(counterexample.check.id)
  return {
    causes: diagnosis.causes
      .map((cause) => ({ ...cause, checkIds: cause.checkIds.filter((id) => open.has(id)) }))
      .filter(({ isVisible, checkIds }) => isVisible && checkIds.length > 0),
    hint: repair === 'staff' ? null : (diagnosis.hint ?? null),
    counterexample: isOpen ? counterexample : null,
  }
}

const whole = { checkId: null, causeId: null, at: null }

function usual(id: ReportMessageId, at: Decision | null = null): FeedbackMessage {
  return { ...whole, id, kind: kindOfMessage(id), text: reportWords[id], at }
}

function results(report: Report): readonly FeedbackMessage[] {
  const { checks, groups, score, status, problems } = report
  if (status === 'unreadable') {
    const text = `The program could not be read: ${problems.map(({ message }) => message).join(' ')}`
    return [{ ...whole, id: 'result.report', kind: 'result', text }]
  }
  const outOf = groups.reduce((sum, group) => sum + group.outOf, 0)
  const right = checks.filter(({ outcome }) => outcome === 'passed').length
  const text = report.isFullMarks
    ? `Full marks: all ${checks.length} checks passed.`
    : `${score} of ${outOf} marks: ${right} of ${checks.length} checks passed.${nearlyText(report)}`
  const failed = checks.filter(({ outcome }) => outcome !== 'passed')
  return [{ ...whole, id: 'result.report', kind: 'result', text }, ...failed.map(ofCheck)]
}

function nearlyText({ nearlyRight }: Report): string {
  return nearlyRight === undefined ? '' : ` ${nearlyRight.message}`
}

function ofCheck({ id, kind, title, message, decidedAt }: CheckResult): FeedbackMessage {
  const own = ruleKinds.includes(kind) ? 'task-rule' : 'gap'
  return { id: `${own}.${id}`, kind: own, text: `${title}: ${message}`, checkId: id, causeId: null, at: decidedAt }
}

function placeOf({ caseId, step, t, address }: ToldCause, report: Report): Decision | null {
  if (caseId === null || step === null || t === null || address === null) return null
  return { caseId, start: startIn(report, caseId) ?? usualStart, step, t, address }
}

function mistakes(causes: readonly ToldCause[], report: Report): readonly FeedbackMessage[] {
  return causes.map((cause): FeedbackMessage => ({
    id: `mistake.${cause.id}`,
    kind: 'mistake',
    text: `${cause.title}. ${cause.message}`,
    checkId: cause.checkIds[0] ?? null,
    causeId: cause.id,
    at: placeOf(cause, report),
  }))
}

/** The cards of the causes; of the exercise's own those that a failed check asks for. */
function concepts(causes: readonly ToldCause[], report: Report, { cards }: Exercise): readonly FeedbackMessage[] {
  const failed = new Set(report.checks.filter(({ outcome }) => outcome !== 'passed').map(({ id }) => id))
  const ofCauses = causes.flatMap(({ id, checkIds }): readonly FeedbackMessage[] => {
    if (!Object.hasOwn(conceptCards, id)) return []
    const text = cardText(conceptCards[id as CauseId])
    return [{ id: `concept.${id}`, kind: 'concept', text, checkId: checkIds[0] ?? null, causeId: id, at: null }]
  })
  const isRead = report.status === 'graded'
  const own = cards.filter((card) => isRead && card.checks.some((id) => failed.has(id)))
  const ofExercise = own.map((card): FeedbackMessage => ({
    ...whole,
    id: `concept.${card.id}`,
    kind: 'concept',
    text: cardText(card),
    checkId: card.checks.find((id) => failed.has(id)) ?? null,
  }))
  const names = new Set(ofCauses.map(({ id }) => id))
  return [...ofCauses, ...ofExercise.filter(({ id }) => !names.has(id))]
}

function nextSteps(report: Report, diagnosis: ToldDiagnosis | null, { hints }: Exercise): readonly FeedbackMessage[] {
  if (report.status === 'unreadable') return [usual('how-to-go-on.unreadable')]
  if (report.isFullMarks) return []
  const { firstWrong } = report
  const at: Decision | null =
    firstWrong === null
      ? null
      : {
          ...{ caseId: firstWrong.caseId, start: firstWrong.start },
          ...{ step: firstWrong.step, t: firstWrong.t, address: firstWrong.address },
        }
  const narrowed = diagnosis?.hint ?? null
  const smallest = diagnosis?.counterexample ?? null
  return [
    ...(at === null ? [] : [usual('how-to-go-on.trace', at)]),
    ...(narrowed === null
      ? []
      : [{ ...whole, id: 'how-to-go-on.narrowed', kind: 'how-to-go-on' as const, text: narrowed }]),
    ...(smallest === null ? [] : [smallestInput(smallest)]),
    ...(hints.length === 0 ? [] : [usual('how-to-go-on.hints')]),
  ]
}

function smallestInput({ inputs, check }: NonNullable<ToldDiagnosis['counterexample']>): FeedbackMessage {
  const gap =
    check.measured === null ? '' : ` Found ${check.measured}${check.wanted === null ? '' : `, wanted ${check.wanted}`}.`
  const text = `The smallest input that goes wrong: ${inputs.join(', ')}.${gap} ${reportWords['how-to-go-on.smallest']}`
  return { ...usual('how-to-go-on.smallest'), text, checkId: check.id }
}

function reflections(report: Report): readonly FeedbackMessage[] {
  if (report.status === 'unreadable') return []
  return [usual(report.isFullMarks ? 'reflect.passed' : 'reflect.guess')]
}
