import { parseExercise } from '../../core/exercise/index.ts'
import { boards, grade } from '../engine.ts'

/** A program that goes through loads, sums, memory and a loop: what the compiler of the host should have seen. */
const program = {
  format: 'assembly',
  text: ' LD B,200\nLOOP: LD A,B\n ADD A,3\n LD (4600h),A\n DJNZ LOOP\n HALT\n',
} as const

const document = {
  format: 'hexcairn-exercise/1',
  id: 'warm-up',
  title: 'Warm-up',
  board: 'bench-8',
  brief: 'Run once when a grader starts.',
  cases: [{ id: 'once' }],
  groups: [{ id: 'all', title: 'All', marks: 100 }],
  checks: [{ id: 'b', kind: 'registers', title: 'B is 0', group: 'all', want: { b: 0 } }],
}

export function warmUp(): void {
  const profile = boards.get(document.board)
  const read = parseExercise(document)
  if (profile === undefined || !read.isOk) throw new Error('The warm-up exercise cannot be read.')
  for (let round = 0; round < 20; round += 1) {
    const report = grade(program, read.exercise, profile, { seed: round })
    if (!report.isFullMarks) throw new Error(`The warm-up program was not run: ${report.problems[0]?.message ?? ''}`)
  }
}
