import type { Program } from '../../core/assembler/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import { whyCheck, type CheckQuestion, type WhyTarget } from '../../core/diagnosis/index.ts'
import type { Exercise } from '../../core/exercise/index.ts'
import type { Report, WhyQuestion } from '../contract/index.ts'

/** Failing checks whose question is worked out, in the order of the report: each takes a run. */
const mostChecks = 6

/** The most telling question that each failing check raises about its run. A reader's browser runs it again and answers. */
export function whyQuestions(
  program: Program,
  exercise: Exercise,
  profile: BoardProfile,
  report: Report,
  { seed, mayGoOn }: { readonly seed: number; readonly mayGoOn: () => boolean },
): WhyQuestion[] {
  const failed = report.checks.filter(
    ({ outcome, decidedAt }) => outcome !== 'passed' && outcome !== 'skipped-by-gate' && decidedAt !== null,
  )
  return failed.slice(0, mostChecks).flatMap((check) => {
    const [first] = mayGoOn() ? whyCheck(check, { exercise, profile, program, seed }) : []
    return first === undefined ? [] : [asked(check.id, first)]
  })
}

function asked(checkId: string, question: CheckQuestion): WhyQuestion {
  const { caseId } = question
  if ('never' in question) return { checkId, caseId, step: null, target: null, never: question.never }
  return { checkId, caseId, step: question.step, target: plain(question.target), never: null }
}

/** As the contract has it: an array of its own. */
function plain(target: WhyTarget): WhyQuestion['target'] {
  return target.kind === 'memory' ? { ...target, others: [...(target.others ?? [])] } : { ...target }
}
