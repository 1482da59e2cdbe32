/**
 * How long 20,000 lines take to assemble, and how long their image takes to disassemble: `tsx tests/benchmarks/assembler.ts`.
 * Processor time, so that other work on the machine counts little; the first round is cold, the median is of the others.
 */
import { assemble } from '../../core/assembler/index.ts'
import { disassemble, toText } from '../../core/disassembler/index.ts'
import { imageSize } from '../../core/image/index.ts'

const lineCount = 20_000
const kinds = [
  (i: number) => `L${i}:    LD A,(IX+5)     ; the fare of stop ${i}`,
  (i: number) => `        LD HL,L${i - 1}+3*2`,
  (i: number) => `        JR NZ,L${i - 2}`,
  (i: number) => `T${i}:    DB ${i % 256},"AB",0FFH`,
  () => '        ADD A,B',
]
const source = Array.from({ length: lineCount }, (_, i) => kinds[i % kinds.length]?.(i) ?? '').join('\n')

function milliseconds(work: () => void): number {
  const before = process.cpuUsage()
  work()
  const { user, system } = process.cpuUsage(before)
  return (user + system) / 1000
}

function report(name: string, work: () => void): void {
  const [cold = 0, ...warm] = Array.from({ length: 10 }, () => milliseconds(work))
  const median = warm.sort((a, b) => a - b)[Math.floor(warm.length / 2)] ?? 0
  console.log(`${name.padEnd(36)} cold ${cold.toFixed(0).padStart(5)} ms   median ${median.toFixed(0).padStart(5)} ms`)
}

const options = { origin: 0, maxBytes: 0x10000 }
const program = assemble(source, options)
if (!program.isOk) throw new Error(program.problems[0]?.message)
const bytes = imageSize(program.image)

report(`assemble ${lineCount} lines, ${bytes} bytes`, () => assemble(source, options))
report(`disassemble ${bytes} bytes`, () => toText(disassemble(program.image, { entry: program.entry })))
