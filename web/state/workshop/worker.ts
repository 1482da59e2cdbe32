import { readProgram } from '../../../core/assembler/index.ts'
import { diagnose, draftExercise, probe } from '../../../core/diagnosis/index.ts'
import { exerciseFor, readOptionsFor, staffReadOptionsFor } from '../../../core/exercise/index.ts'
import { grade } from '../../../core/grading/index.ts'
import type { WorkshopReply, WorkshopResult, WorkshopTask } from './protocol.ts'

/** Progress is told at most this often, in milliseconds. */
const tellEvery = 100

const tell = (reply: WorkshopReply): void => self.postMessage(reply)

function work(task: WorkshopTask): WorkshopResult {
  if (task.kind === 'draft') return { kind: 'draft', draft: draftExercise(task.draft, task.board) }
  const exercise = exerciseFor(task.exercise, 0)
  if (task.kind === 'grade') {
    const { program, board, isStaffAnswer } = task
    const report = grade(program, exercise, board, { isStaffAnswer })
    const read = readProgram(program, (isStaffAnswer ? staffReadOptionsFor : readOptionsFor)(exercise, board))
    return { kind: 'grade', report, diagnosis: diagnose(read, exercise, board, report) }
  }
  let told = 0
  const result = probe(exercise, task.board, {
    onProgress: (progress) => {
      const now = performance.now()
      if (now - told < tellEvery) return
      told = now
      tell({ kind: 'progress', progress })
    },
  })
  return { kind: 'probe', result }
}

self.onmessage = (event: MessageEvent<WorkshopTask>) => {
  try {
    tell({ kind: 'done', result: work(event.data) })
  } catch (error) {
    tell({ kind: 'fault', message: error instanceof Error ? error.message : String(error) })
  }
}
