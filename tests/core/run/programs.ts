import { assemble } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import type { RunRequest } from '../../../core/run/index.ts'

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
