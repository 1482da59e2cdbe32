import { attribute } from '../cpu.ts'
import { definitions, type Definition } from '../instruction-set.ts'
import { layout } from '../layout.ts'
import { acceptance } from '../table-control.ts'
import { isIgnoredPrefix, opcodeOf, pageOf } from './pages.ts'
import { shapeOf } from './shape.ts'
import { attend } from './wasm-attend.ts'
import { Code, wasmModule } from './wasm-bytes.ts'
import { clockOf, countsOf, enter, leave, tOf, type Registers } from './wasm-clock.ts'
import { callIn, callOut, imports, marked } from './wasm-host.ts'
import { repeat, repeats, shortcutsOf } from './wasm-shortcuts.ts'
import { Writer } from './wasm-writer.ts'

/** The opcodes of one page behind a jump table; `opcode` puts the index on the stack. */
function page(
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
    code.branch('next')
  }
  code.op('end')
  rest()
}

function runFunction(): Code {
  const code = new Code(0)
  const registers = enter(code)
  const { pc, clock } = registers
  const writer = new Writer(code, registers, shapeOf({ encoding: [], machineCycles: [0], effect: '' }))
  const instruction = (definition: Definition) => {
    const { text } = definition
    if (repeats.includes(text)) {
      code.loop('again')
      writer.instruction(shapeOf(definition))
      repeat(code, registers, opcodeOf(definition))
      code.op('end')
    } else {
      writer.instruction(shapeOf(definition))
      shortcutsOf(text)?.(code, registers)
    }
  }
  const handlersOf = (name: string) =>
    new Map<number, () => void>(
      definitions
        .filter((each) => pageOf(each) === name && !isIgnoredPrefix(each))
        .map((each) => [opcodeOf(each), () => instruction(each)]),
    )
  const second = () => code.get(pc).access('load8', 1)
  const fourth = () => code.get(pc).access('load8', 3)
  const unreachable = () => code.branch('next')

  const prefixed = (name: 'dd' | 'fd') => () => {
    const handlers = handlersOf(name)
    handlers.set(0xcb, () => page(code, `${name}cb`, fourth, handlersOf(`${name}cb`), unreachable))
    page(code, name, second, handlers, () => skipPrefix(code, registers))
  }
  const base = handlersOf('')
  base.set(0xcb, () => page(code, 'cb', second, handlersOf('cb'), unreachable))
  base.set(0xed, () => page(code, 'ed', second, handlersOf('ed'), unreachable))
  base.set(0xdd, prefixed('dd'))
  base.set(0xfd, prefixed('fd'))

  code.loop('next').block('go')
  code.block('attend').get(clock).constant(0).access('load64', layout.clock.attendFrom).op('ge64').branchIf('attend')
  code.get(pc).access('load8', layout.attributes).constant(attribute.stopAt).op('and', 'eqz').branchIf('go').op('end')
  attend(code, registers)
  code.op('end')
  code.constant(0).get(pc).access('store16', layout.lastPc)
  page(code, 'base', () => code.get(pc).access('load8', 0), base, unreachable)
  code.op('end').constant(0)
  return code
}

/** As in `typescript.ts`. */
function skipPrefix(code: Code, { pc, clock }: Registers) {
  const { prefixAt, flagsAt } = layout.clock
  const next = () => code.get(clock).constant64(clockOf(4, 1)).op('add64')
  code.constant(0).access('load64', prefixAt).get(clock).op('ne64').if()
  code.constant(0).get(pc).access('store16', layout.prefixPc).op('end')
  code.constant(0).access('load64', flagsAt).get(clock).op('eq64').if().constant(0)
  next().access('store64', flagsAt).op('end')
  code.get(pc).constant(1).op('add').set(pc)
  next().set(clock)
  code.constant(0).get(clock).access('store64', prefixAt)
  // For `instructionAddress` in a call of the bus.
  code.constant(0)
  tOf(code, clock).access('store', layout.prefixAt)
  code.constant(0)
  countsOf(code, clock).access('store', layout.prefixCounts)
  code.branch('next')
}

function acceptFunction(): Code {
  const code = new Code(1)
  const registers = enter(code)
  const writer = new Writer(code, registers, shapeOf({ encoding: [], machineCycles: [0], effect: '' }))
  const lines = Object.values(acceptance).map(({ cycles, effect }) => ({
    encoding: [],
    machineCycles: cycles.split(' ').map(Number),
    effect,
  }))
  const handlers = new Map(lines.map((line, kind) => [kind, () => writer.instruction(shapeOf(line))]))
  code.block('next')
  page(
    code,
    'accept',
    () => code.get(0),
    handlers,
    () => code,
  )
  code.op('end')
  leave(code, registers)
  return code
}

/** The interpreter as a WebAssembly module. */
export const wasmInterpreter = (): Uint8Array =>
  wasmModule(
    imports,
    [
      { exportName: 'run', parameters: 0, results: 1, code: runFunction() },
      { exportName: 'accept', parameters: 1, results: 0, code: acceptFunction() },
      { parameters: 4, results: 1, code: callIn() },
      { parameters: 5, results: 0, code: callOut() },
      { parameters: 5, results: 0, code: marked() },
    ],
    layout.end / 0x10000,
  )
