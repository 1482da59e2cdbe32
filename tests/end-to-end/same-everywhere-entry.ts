import { readProgram } from '../../core/assembler/index.ts'
import { benchEight } from '../../core/board/index.ts'
import { diagnose, feedbackFor, hintOf } from '../../core/diagnosis/index.ts'
import {
  caseInstances,
  exerciseFor,
  readOptionsFor,
  runRequestFor,
  type Exercise,
  type ProgramText,
} from '../../core/exercise/index.ts'
import { grade } from '../../core/grading/index.ts'
import { run } from '../../core/run/index.ts'

/** What one program does in every case of an exercise: each event as text, where it ended, and its report as JSON. */
export function account(exercise: Exercise, source: ProgramText, seed: number): string {
  const program = readProgram(source, readOptionsFor(exercise, benchEight))
  const runs = caseInstances(exercise).map(({ id }) => {
    const { end, tStates, steps, registers, memory, events } = run(
      runRequestFor(exercise, benchEight, program, id, seed),
    )
    return JSON.stringify({ id, end, tStates, steps, registers, memory: [...memory], events: [...events] })
  })
  return [...runs, JSON.stringify(grade(source, exercise, benchEight, { seed }))].join('\n')
}

/** Why a hand-in fails as it is told to a student and to staff: causes, repair, smallest input and every message, as JSON. */
export function explanation(exercise: Exercise, source: ProgramText, seed: number): string {
  const program = readProgram(source, readOptionsFor(exerciseFor(exercise, seed), benchEight))
  const report = grade(source, exercise, benchEight, { seed })
  const diagnosis = diagnose(program, exercise, benchEight, report, { seed })
  const settings = { order: null, off: [], texts: {} }
  const told = { ...diagnosis, hint: diagnosis.repair === null ? null : hintOf(diagnosis.repair, program.image) }
  const messages = (['student', 'staff'] as const).map((reader) =>
    feedbackFor({ report, diagnosis: told, exercise, settings, reader }),
  )
  return JSON.stringify({ diagnosis, messages }, null, 1)
}

/** The same as a short text to carry between processes: 53 bits of a multiply-and-rotate hash, and the length. */
export function digest(text: string): string {
  let low = 0x9e3779b9
  let high = 0x85ebca6b
  for (let i = 0; i < text.length; i += 1) {
    low = Math.imul(low ^ text.charCodeAt(i), 0x9e3779b1)
    high = Math.imul(high ^ text.charCodeAt(i) ^ (low >>> 16), 0x5f356495)
  }
  return `${(low >>> 0).toString(16)}-${(high >>> 0).toString(16)}-${text.length}`
}

Object.assign(globalThis, {
  accountDigest: (...given: Parameters<typeof account>) => digest(account(...given)),
  explanation,
})
