import { assemble } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import type { Recording, RunRequest, TraceStep } from '../../../core/run/index.ts'

type Changes = Partial<Omit<RunRequest, 'given'>> & { readonly given?: Partial<RunRequest['given']> }

/**
 * A request from assembly, lines parted by `|`: `request('LD A,5 | HALT')`. On Bench-8 from 4000h, RAM full of zeros, no
 * keys, ending with HALT, 4 million T-states. Throws where the text has a mistake.
 */
export function request(text: string, changes: Changes = {}): RunRequest {
  const profile = changes.profile ?? benchEight
  const lines = text.split('|').map((line) => (/^ *\w+:/.test(line) ? line.trim() : ` ${line.trim()}`))
  const program = assemble(lines.join('\n'), { origin: profile.layout.program, symbols: profile.firmware.symbols })
  const [problem] = program.problems
  if (problem !== undefined) throw new Error(`${problem.message} (line ${problem.at.line} of ${text})`)
  const { given, ...rest } = changes
  return {
    ...{ profile, image: program.image, entry: program.entry, ends: 'halt', budget: 4_000_000 },
    ...rest,
    given: {
      ...{ registers: {}, memory: [], keys: [], switches: 0, fill: { byte: 0 }, isTimerOn: false },
      ...given,
    },
  }
}

/** A seed for random tests: printed, and set by `SEED=n` to repeat a failure. */
export const seed = Number(process.env['SEED'] ?? Math.floor(Math.random() * 1e9))

/** Something of everything: keys, switches, interrupts, HALT, block moves, calls, writes, ports; 0.9 million T-states. */
export const busy: RunRequest = request(
  `LD HL,TICK | LD (4710H),HL | LD HL,0 | LD (4600H),HL | EI
   | LOOP: LD HL,4600H | LD DE,4610H | LD BC,40 | LDIR | CALL SHOW | HALT | CALL PAINT | IN A,(25H) | LD (4632H),A | IN A,(23H) | OR A | JR Z,LOOP
   | CALL GETKEY | LD (4630H),A | JP LOOP
   | SHOW: LD A,(4600H) | CALL GLYPH | LD (4707H),A | OUT (22H),A | RET
   | TICK: PUSH AF | PUSH HL | LD HL,4600H | INC (HL) | POP HL | POP AF | EI | RET`,
  {
    budget: 900_000,
    given: {
      ...{ fill: { seed: 3 }, isTimerOn: true, switches: 3 },
      switchMoves: [100_001, 300_000, 300_000, 700_013].map((at, k) => ({ at, value: 0x10 << k })),
      keys: [1, 2].map((k) => ({ key: `${k}`, from: k * 250_000, to: k * 250_000 + 150_000, bounceTStates: 9000 })),
    },
  },
)

/** Every step of a recorded run. */
export function allSteps(recording: Recording): TraceStep[] {
  const steps: TraceStep[] = []
  for (let from = 0; from < recording.result.steps; from += 10_000) steps.push(...recording.steps(from, from + 10_000))
  return steps
}
