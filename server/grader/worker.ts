import { parseExercise } from '../../core/exercise/index.ts'
import { boards, grade } from '../engine.ts'
import type { Report } from '../contract/index.ts'
import { warmUp } from './warm-up.ts'
import type { GradeTask } from './task.ts'

/** Runs in a thread of its own: plain data in, a report out. Without a task it makes the engine ready. */
export default function work(task: GradeTask | null): Report | null {
  if (task === null) {
    warmUp()
    return null
  }
  const profile = boards.get(task.boardId)
  if (profile === undefined) throw new Error(`The board ${task.boardId} is not installed.`)
  const read = parseExercise(task.document)
  if (!read.isOk) throw new Error(`The stored exercise cannot be read: ${read.problems[0]?.message ?? ''}`)
  try {
    return grade(task.program, read.exercise, profile, {
      seed: task.seed,
      onProgress: ({ done, total }) => task.port?.postMessage({ casesDone: done, cases: total }),
    })
  } finally {
    task.port?.close()
  }
}
