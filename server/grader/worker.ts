import { exerciseFor, parseExercise, type Exercise } from '../../core/exercise/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import { findDiagnosis } from '../diagnoses/found-diagnosis.ts'
import { boards, grade } from '../engine.ts'
import type { Report } from '../contract/index.ts'
import { warmUp } from './warm-up.ts'
import type { DiagnoseResult, DiagnoseTask, GradeInputs, GraderMessage, GradeTask } from './task.ts'

/** Milliseconds after which a search for causes ends with what it has. */
const searchMs = 12_000

/** Runs in a thread of its own: plain data in, a report or a diagnosis out. Without a task it makes the engine ready. */
export default function work(task: GradeTask | DiagnoseTask | null): Report | DiagnoseResult | null | Promise<never> {
  if (task === null) {
    warmUp()
    return null
  }
  const { port } = task
  const tell = (message: GraderMessage): void => port?.postMessage(message)
  try {
    const result = task.kind === 'grade' ? gradeTask(task, tell) : diagnoseTask(task)
    port?.close()
    return result
  } catch (error) {
    if (port === null || !(error instanceof Error)) throw error
    tell({ kind: 'fault', message: error.message, stack: error.stack ?? '' })
    // The pool stops this thread when it hears of the fault, and starts a fresh one.
    return new Promise(() => {})
  }
}

function gradeTask(task: GradeTask, tell: (message: GraderMessage) => void): Report {
  const { exercise, profile } = readInputs(task)
  return grade(task.program, exercise, profile, {
    seed: task.seed,
    onProgress: ({ done, total }) => tell({ kind: 'progress', progress: { casesDone: done, cases: total } }),
  })
}

function diagnoseTask(task: DiagnoseTask): DiagnoseResult {
  const { exercise, profile } = readInputs(task)
  const end = Date.now() + searchMs
  const isAskedAside = (): boolean => Atomics.load(task.aside, 0) !== 0
  const found = findDiagnosis(task.program, exercise, profile, task.report, {
    seed: task.seed,
    mayGoOn: () => !isAskedAside() && Date.now() < end,
  })
  return isAskedAside() ? 'stood-aside' : found
}

function readInputs(task: GradeInputs): { readonly exercise: Exercise; readonly profile: BoardProfile } {
  const profile = boards.get(task.boardId)
  if (profile === undefined) throw new Error(`The board ${task.boardId} is not installed.`)
  const read = parseExercise(task.document)
  if (!read.isOk) throw new Error(`The stored exercise cannot be read: ${read.problems[0]?.message ?? ''}`)
  return { exercise: exerciseFor(read.exercise, task.seed), profile }
}
