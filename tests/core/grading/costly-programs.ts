import type { BoardProfile } from '../../../core/board/index.ts'
import { workDone } from '../../../core/board/index.ts'
import { diagnose } from '../../../core/diagnosis/index.ts'
import { readProgram } from '../../../core/assembler/index.ts'
import { exerciseFor, readOptionsFor, type Exercise } from '../../../core/exercise/index.ts'
import { grade, type Report } from '../../../core/grading/index.ts'
import type { Random } from '../../../core/run/index.ts'

/** What a loop may be put together from: whatever might cost a grader more than its T-states tell. */
const instructions: readonly string[] = [
  ...[
    'OUT (20h),A',
    'OUT (21h),A',
    'OUT (22h),A',
    'OUT (24h),A',
    'OUT (5),A',
    'OUT (C),B',
    'OUTI',
    'OTIR',
    'IN A,(23h)',
    'INIR',
  ],
  ...[
    'LD (HL),A',
    'LD (4600h),A',
    'LD (4700h),HL',
    'PUSH AF',
    'POP AF',
    'EX (SP),HL',
    'LDIR',
    'LDDR',
    'LDI',
    'INC (HL)',
  ],
  ...['CALL PAINT', 'CALL GETKEY', 'CALL WAITMS', 'CALL BUZZ', 'CALL GLYPH', 'CALL SUBR', 'RST 38h'],
  ...[
    'EI',
    'DI',
    'HALT',
    'IM 1',
    'LD A,R',
    'CPL',
    'XOR 1',
    'INC A',
    'RLCA',
    'INC HL',
    'INC H',
    'DEC BC',
    'LD B,0',
    'DJNZ $',
    'NOP',
  ],
  ...[
    'LD HL,4000h',
    'LD HL,4600h',
    'LD DE,4601h',
    'LD BC,0FFh',
    'LD BC,20',
    'LD C,22h',
    'LD SP,4800h',
    'LD (HERE),A',
    'INC IX',
    'LD (IX+3),A',
  ],
]

/** A loop as a list of instructions, each repeated so many times. */
export type Loop = readonly { readonly text: string; readonly times: number }[]

export function textOf(loop: Loop): string {
  const lines = loop.flatMap(({ text, times }) => Array.from({ length: times }, () => ` ${text}`))
  return `START: LD HL,4600h\n LD A,0FFh\nHERE:\n${lines.join('\n')}\n JP HERE\nSUBR: RET\n`
}

export function randomLoop(random: Random): Loop {
  return Array.from({ length: 1 + random.under(5) }, () => randomLine(random))
}

function randomLine(random: Random): Loop[number] {
  const text = instructions[random.under(instructions.length)] ?? 'NOP'
  return { text, times: random.under(3) === 0 ? 1 + random.under(40) : 1 }
}

/** One line more, less, or another. */
export function neighbourOf(loop: Loop, random: Random): Loop {
  const at = random.under(loop.length)
  switch (random.under(3)) {
    case 0:
      return loop.toSpliced(at, 0, randomLine(random))
    case 1:
      return loop.length > 1 ? loop.toSpliced(at, 1) : randomLoop(random)
    default:
      return loop.toSpliced(at, 1, randomLine(random))
  }
}

/** What a hand-in cost. */
export interface Cost {
  /** Units of `countWork` for grade and search for causes. */
  readonly grade: number
  readonly search: number
  readonly reportBytes: number
  readonly report: Report
}

export function costOf(text: string, of: Exercise, profile: BoardProfile, seed = 7): Cost {
  const source = { format: 'assembly', text } as const
  const start = workDone()
  const report = grade(source, of, profile, { seed })
  const graded = workDone()
  const exercise = exerciseFor(of, seed)
  const found = diagnose(readProgram(source, readOptionsFor(exercise, profile)), exercise, profile, report, { seed })
  const reportBytes = JSON.stringify(report).length + JSON.stringify(found).length
  return { grade: graded - start, search: workDone() - graded, reportBytes, report }
}

/** The costliest loop that `rounds` tries of climbing from a random one come upon. */
export function climb(
  random: Random,
  rounds: number,
  weigh: (loop: Loop) => number,
): { readonly loop: Loop; readonly weight: number } {
  let best = randomLoop(random)
  let weight = weigh(best)
  for (let round = 1; round < rounds; round++) {
    const next = round % 5 === 0 ? randomLoop(random) : neighbourOf(best, random)
    const found = weigh(next)
    if (found >= weight) [best, weight] = [next, found]
  }
  return { loop: best, weight }
}
