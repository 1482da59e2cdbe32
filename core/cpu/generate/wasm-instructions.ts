import { definitions, type Definition } from '../instruction-set.ts'
import { layout, registerAt } from '../layout.ts'
import type { Family } from './families.ts'
import { isIgnoredPrefix, opcodeOf, pageOf } from './pages.ts'
import { shapeOf } from './shape.ts'
import type { Code } from './wasm-bytes.ts'
import type { Registers } from './wasm-clock.ts'
import { repeat, repeats, shortcutsOf } from './wasm-shortcuts.ts'
import type { Writer } from './wasm-writer.ts'

/** The opcodes of one page behind a jump table; `opcode` puts the index on the stack. Each of `handlers` ends with a branch. */
export function page(
  code: Code,
  name: string,
  opcode: () => void,
  handlers: ReadonlyMap<number, () => void>,
  rest: () => void,
) {
  const numbers = [...handlers.keys()].sort((a, b) => a - b)
  const label = (opcodeNumber: number) => `${name} ${handlers.has(opcodeNumber) ? opcodeNumber : 'rest'}`
  code.block(`${name} rest`)
  for (const number of numbers.toReversed()) code.block(label(number))
  opcode()
  code.table(
    Array.from({ length: 256 }, (_, number) => label(number)),
    `${name} rest`,
  )
  for (const number of numbers) {
    code.op('end')
    handlers.get(number)?.()
  }
  code.op('end')
  rest()
}

/**
 * Executes the instruction at PC; those with IY are the ones with IX, and `registers.index` tells which it is. `families`
 * do their work in one place. Behind it is the label `next`; `rest` says what happens where there is no handler.
 */
export function instructions(
  code: Code,
  registers: Registers,
  writer: Writer,
  isWanted: (definition: Definition) => boolean,
  families: readonly Family[],
  rest: () => void,
  restOfPrefixed: () => void,
) {
  const { pc } = registers
  const wanted = definitions.filter((each) => !isIgnoredPrefix(each) && isWanted(each))
  const familyName = (family: Family) => `family ${families.indexOf(family)}`
  for (const family of families.toReversed()) code.block(familyName(family))
  const instruction = (definition: Definition) => {
    const { text } = definition
    const family = families.find(({ members }) => members.has(definition))
    if (family) {
      writer.fillSlots(family.members.get(definition) ?? [], family.shape)
      code.branch(familyName(family))
      return
    }
    if (repeats.includes(text)) {
      code.loop('again')
      writer.instruction(shapeOf(definition))
      repeat(code, registers, opcodeOf(definition))
      code.op('end')
    } else {
      writer.instruction(shapeOf(definition))
      shortcutsOf(text)?.(code, registers)
    }
    code.branch('next')
  }
  const handlersOf = (name: string) =>
    new Map<number, () => void>(
      wanted.filter((each) => pageOf(each) === name).map((each) => [opcodeOf(each), () => instruction(each)]),
    )
  const byteAt = (offset: number) => () => code.get(pc).access('load8', offset)
  const base = handlersOf('')
  base.set(0xcb, () => page(code, 'cb', byteAt(1), handlersOf('cb'), rest))
  base.set(0xed, () => page(code, 'ed', byteAt(1), handlersOf('ed'), rest))
  for (const [prefix, register] of [
    [0xdd, 'IX'],
    [0xfd, 'IY'],
  ] as const) {
    const offset = registerAt[register] - registerAt.IX
    base.set(prefix, () => code.constant(offset).set(registers.index).branch('indexed'))
  }
  code.constant(0).get(pc).access('store16', layout.lastPc)
  code.block('indexed')
  page(code, 'base', byteAt(0), base, rest)
  code.op('end')
  const indexed = handlersOf('dd')
  indexed.set(0xcb, () => page(code, 'ddcb', byteAt(3), handlersOf('ddcb'), rest))
  page(code, 'dd', byteAt(1), indexed, restOfPrefixed)
  for (const family of families) {
    code.op('end')
    writer.instruction(family.shape, family.slots)
    code.branch('next')
  }
}
