import type { Ground } from './ground.ts'
import { opposite } from './repeats.ts'
import type { SourceInstruction } from '../../../edits/index.ts'
import type { Insertion, ModelText } from './model-text.ts'
import type { Strategy } from './strategy.ts'

const registers = ['A', 'B', 'C', 'D', 'E', 'H', 'L', '(HL)']

/** Programs whose flags come from another value at the end; only where a check looks at flags. */
export function flagStrategies({ exercise, facts: { text, ends } }: Ground): readonly Strategy[] {
  const wanted = new Set(
    exercise.checks.flatMap((check) => (check.kind === 'flags' ? Object.keys(check['want'] as object) : [])),
  )
  const found: Strategy[] = []
  const add = (detail: string, lines: readonly string[]): void => {
    const image = ends.length === 0 ? null : text.with(ends.map((at) => beforeEnd(text, at, lines)))
    const words = 'A program that takes a flag from the wrong value at its end'
    if (image !== null) found.push({ kind: 'flag', words, detail, image, isWhole: false, subjects: ['values'] })
  }
  if (wanted.has('z') || wanted.has('s')) {
    for (const register of registers)
      add(`${wanted.has('z') ? 'Z' : 'S'} from ${register}`, [`INC ${register}`, `DEC ${register}`])
  }
  if (wanted.has('c')) {
    add('the carry always 0', ['OR A'])
    add('the carry always 1', ['SCF'])
    add('the carry the wrong way round', ['CCF'])
    for (const register of registers.slice(1)) {
      add(`the carry from comparing A with ${register}`, [`CP ${register}`])
      if (register.length > 1) continue
      // RRC puts back what RLC has moved, and its carry is the bit that comes back on top.
      add(`the carry from bit 7 of ${register}`, [`RLC ${register}`, `RRC ${register}`])
    }
  }
  return found
}

/** Instructions that run where the program ends there, and not where a RET with a condition goes on. */
function beforeEnd(text: ModelText, at: SourceInstruction, lines: readonly string[]): Insertion {
  const [condition] = at.operands
  if (at.mnemonic !== 'RET' || condition === undefined) return { at, before: lines }
  const on = text.label()
  return { at, instead: [`JP ${opposite[condition.toUpperCase()] ?? 'NZ'},${on}`, ...lines, 'RET', `${on}:`] }
}
