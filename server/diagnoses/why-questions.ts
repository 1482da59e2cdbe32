import type { Program } from '../../core/assembler/index.ts'
import { withinWork, type BoardProfile } from '../../core/board/index.ts'
import { whyCheck, type CheckQuestion, type WhyTarget } from '../../core/diagnosis/index.ts'
import type { Exercise } from '../../core/exercise/index.ts'
import type { Recording } from '../../core/run/index.ts'
import type { Report, WhyQuestion } from '../contract/index.ts'

/** Units of work that working them out may take; a check that comes later has no question then. */
const mostWork = 40_000_000
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
  const recordings = new Map<string, Recording>()
  const context = { exercise, profile, program, seed, recordings }
  const questions: WhyQuestion[] = []
  withinWork(mostWork, () => {
    for (const check of failed.slice(0, mostChecks)) {
      const [first] = mayGoOn() ? whyCheck(check, context) : []
      if (first !== undefined) questions.push(asked(check.id, first))
    }
  })
  return questions
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
