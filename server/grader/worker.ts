import { parseExercise } from '../../core/exercise/index.ts'
import { boards, grade } from '../engine.ts'
import type { Report } from '../contract/index.ts'
import { warmUp } from './warm-up.ts'
import type { GradeProgress, GraderMessage, GradeTask } from './task.ts'

/** Runs in a thread of its own: plain data in, a report out. Without a task it makes the engine ready. */
export default function work(task: GradeTask | null): Report | null | Promise<never> {
  if (task === null) {
    warmUp()
    return null
  }
  const { port } = task
  const tell = (message: GraderMessage): void => port?.postMessage(message)
  try {
    const report = gradeTask(task, (progress) => tell({ kind: 'progress', progress }))
    port?.close()
    return report
  } catch (error) {
    if (port === null || !(error instanceof Error)) throw error
    tell({ kind: 'fault', message: error.message, stack: error.stack ?? '' })
    // The pool stops this thread when it hears of the fault, and starts a fresh one.
    return new Promise(() => {})
  }
}

function gradeTask(task: GradeTask, onProgress: (progress: GradeProgress) => void): Report {
  const profile = boards.get(task.boardId)
  if (profile === undefined) throw new Error(`The board ${task.boardId} is not installed.`)
  const read = parseExercise(task.document)
  if (!read.isOk) throw new Error(`The stored exercise cannot be read: ${read.problems[0]?.message ?? ''}`)
  return grade(task.program, read.exercise, profile, {
    seed: task.seed,
    onProgress: ({ done, total }) => onProgress({ casesDone: done, cases: total }),
  })
}
