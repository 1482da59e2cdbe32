import { readProgram } from '../../../core/assembler/index.ts'
import { diagnose, draftExercise, probe } from '../../../core/diagnosis/index.ts'
import { exerciseFor, readOptionsFor, staffReadOptionsFor } from '../../../core/exercise/index.ts'
import { documentWarnings, grade } from '../../../core/grading/index.ts'
import type { WorkshopProgress, WorkshopReply, WorkshopResult, WorkshopTask } from './protocol.ts'

/** Progress is told at most this often, in milliseconds. */
const tellEvery = 100

const tell = (reply: WorkshopReply): void => self.postMessage(reply)

let told = 0
function tellProgress(progress: WorkshopProgress): void {
  const now = performance.now()
  if (now - told < tellEvery) return
  told = now
  tell({ kind: 'progress', progress })
}

function work(task: WorkshopTask): WorkshopResult {
  if (task.kind === 'draft')
    return { kind: 'draft', draft: draftExercise(task.draft, task.board, { onProgress: tellProgress }) }
  const exercise = exerciseFor(task.exercise, 0)
  if (task.kind === 'warnings') return { kind: 'warnings', warnings: documentWarnings(exercise, task.board) }
  if (task.kind === 'probe') return { kind: 'probe', result: probe(exercise, task.board, { onProgress: tellProgress }) }
  const { program, board, isStaffAnswer } = task
  const report = grade(program, exercise, board, { isStaffAnswer })
  tell({ kind: 'so-far', result: { kind: 'grade', report, diagnosis: null } })
  const read = readProgram(program, (isStaffAnswer ? staffReadOptionsFor : readOptionsFor)(exercise, board))
  const diagnosis = diagnose(read, exercise, board, report, {
    onProgress: (part) => tellProgress({ done: Math.round(100 * part), total: 100 }),
  })
  return { kind: 'grade', report, diagnosis }
}

self.onmessage = (event: MessageEvent<WorkshopTask>) => {
  try {
    tell({ kind: 'done', result: work(event.data) })
  } catch (error) {
    tell({ kind: 'fault', message: error instanceof Error ? error.message : String(error) })
  }
}
