import {
  lowBits,
  readEffect,
  registerBits,
  type Expression,
  type OperandName,
  type RegisterName,
  type Statement,
} from '../effect.ts'
import type { OperandByte } from '../instruction.ts'
import { registerAt } from '../layout.ts'

/** Everything that both code generators want to know of an instruction. */
export interface Shape {
  readonly steps: readonly Statement[]
  /** Bytes of the instruction. */
  readonly length: number
  /** Opcode fetches, which R counts; an interrupt's acknowledgement is one. */
  readonly fetches: number
  /** T-states without what is behind `when`, and how many more with it. */
  readonly tStates: number
  readonly tStatesMore: number
  /** T-states from the start to the strobe of each step with a machine cycle on the bus. */
  readonly strobeAt: ReadonlyMap<Statement, number>
  readonly operands: readonly { readonly name: OperandName; readonly offset: number }[]
  readonly usesPc: boolean
  readonly setsFlags: boolean
  /** Whether a step reads or writes a port. */
  readonly usesPorts: boolean
  /** Of steps whose result goes to an address kept in a local, the name of that. */
  readonly places: ReadonlyMap<Statement, string>
  /** Where it may write, told by the registers as they are before it; null where what it reads decides that. */
  readonly writesTo: readonly Expression[] | null
}

/** T-states from the start of a machine cycle to its strobe, as SingleStepTests shows it. */
export const strobe = { read: 1, write: 1, input: 2, output: 2 } as const

const sum = (numbers: readonly number[]) => numbers.reduce((all, each) => all + each, 0)

export function* allStatements(steps: readonly Statement[]): Iterable<Statement> {
  for (const step of steps) {
    yield step
    if (step.kind === 'if' || step.kind === 'when') yield* allStatements(step.body)
  }
}

function expressionsOf(step: Statement): readonly Expression[] {
  switch (step.kind) {
    case 'let':
    case 'set':
      return [step.value]
    case 'read':
    case 'input':
      return [step.address]
    case 'write':
    case 'output':
      return [step.address, step.value]
    case 'if':
    case 'when':
      return [step.condition]
    default:
      return []
  }
}

function mentions(expression: Expression, wanted: (part: Expression) => boolean): boolean {
  if (wanted(expression)) return true
  switch (expression.kind) {
    case 'binary':
      return mentions(expression.left, wanted) || mentions(expression.right, wanted)
    case 'not':
      return mentions(expression.of, wanted)
    case 'choose':
      return [expression.condition, expression.then, expression.otherwise].some((part) => mentions(part, wanted))
    case 'flags':
      return mentions(expression.index, wanted)
    default:
      return false
  }
}

export const sets = (steps: readonly Statement[], register: RegisterName): boolean =>
  [...allStatements(steps)].some((step) => step.kind === 'set' && step.register === register)

/** Every name in an expression replaced by what it stood for at the start of the instruction; null if that is not known. */
function atStart(expression: Expression, meanings: ReadonlyMap<string, Expression | null>): Expression | null {
  const inside = (part: Expression) => atStart(part, meanings)
  switch (expression.kind) {
    case 'number':
    case 'operand':
      return expression
    case 'register':
    case 'local': {
      const meaning = meanings.get(expression.name)
      return meaning === undefined ? expression : meaning
    }
    case 'binary': {
      const [left, right] = [inside(expression.left), inside(expression.right)]
      return left && right && { ...expression, left, right }
    }
    default:
      return null
  }
}

/** Names of what lies, wholly or in part, where `register` does. */
export const sharing = (register: RegisterName): readonly string[] => {
  const end = (name: keyof typeof registerAt) => registerAt[name] + Math.ceil(registerBits[name] / 8)
  if (register === 'R' || register === 'Q') return [register]
  return (Object.keys(registerAt) as (keyof typeof registerAt)[]).filter(
    (other) => registerAt[other] < end(register) && registerAt[register] < end(other),
  )
}

function writesTo(
  steps: readonly Statement[],
  meanings = new Map<string, Expression | null>(),
): readonly Expression[] | null {
  const addresses: Expression[] = []
  for (const step of steps) {
    if (step.kind === 'let') meanings.set(step.local, atStart(step.value, meanings))
    else if (step.kind === 'read' || step.kind === 'input') meanings.set(step.local, null)
    else if (step.kind === 'set') {
      const value = atStart(step.value, meanings)
      for (const name of sharing(step.register)) meanings.set(name, null)
      meanings.set(step.register, value && lowBits(value, registerBits[step.register]))
    } else if (step.kind === 'write') {
      const address = atStart(step.address, meanings)
      if (address === null) return null
      addresses.push(lowBits(address, 16))
    } else if (step.kind === 'if' || step.kind === 'when') {
      const inside = writesTo(step.body, new Map(meanings))
      if (inside === null) return null
      addresses.push(...inside)
      for (const each of allStatements(step.body)) {
        if (each.kind === 'set') for (const name of sharing(each.register)) meanings.set(name, null)
      }
    }
  }
  return addresses
}

/** One line of the table. `encoding` is empty for the acceptance of an interrupt. */
interface Line {
  readonly encoding: readonly (number | OperandByte)[]
  readonly machineCycles: readonly number[]
  readonly machineCyclesNotTaken?: readonly number[]
  readonly effect: string
}

export const shapeOf = (line: Line): Shape => shapeOfSteps(line, readEffect(line.effect))

/** Works out the shape of a line whose effect is `steps`. */
export function shapeOfSteps(line: Line, steps: readonly Statement[]): Shape {
  const short = line.machineCyclesNotTaken ?? line.machineCycles
  const strobeAt = new Map<Statement, number>()
  // The acceptance of an interrupt has one machine cycle before its steps, the acknowledgement.
  let cycle = Math.max(1, line.encoding.length)
  const place = (some: readonly Statement[], cycles: readonly number[]) => {
    for (const step of some) {
      if (step.kind === 'when') place(step.body, line.machineCycles)
      else if (step.kind === 'if') place(step.body, cycles)
      else if (step.kind === 'idle') cycle += 1
      else if (step.kind === 'read' || step.kind === 'write' || step.kind === 'input' || step.kind === 'output') {
        strobeAt.set(step, sum(cycles.slice(0, cycle)) + strobe[step.kind])
        cycle += 1
      }
    }
  }
  place(steps, short)
  if (cycle !== line.machineCycles.length) throw new Error(`${line.effect}: ${cycle} machine cycles`)
  const all = [...allStatements(steps)]
  const uses = (wanted: (part: Expression) => boolean) =>
    all.some((step) => expressionsOf(step).some((each) => mentions(each, wanted)))
  const operands = (['n', 'nn', 'd', 'e'] as const)
    .filter((name) => uses((part) => part.kind === 'operand' && part.name === name))
    .map((name) => ({ name, offset: line.encoding.indexOf(name === 'nn' ? 'nl' : name) }))
  return {
    steps,
    length: line.encoding.length,
    fetches: Math.max(1, line.encoding.slice(0, 3).filter((each) => typeof each === 'number').length),
    tStates: sum(short),
    tStatesMore: sum(line.machineCycles) - sum(short),
    strobeAt,
    operands,
    usesPc: sets(steps, 'PC') || uses((part) => part.kind === 'register' && part.name === 'PC'),
    setsFlags: sets(steps, 'F'),
    usesPorts: all.some(({ kind }) => kind === 'input' || kind === 'output'),
    places: new Map(),
    writesTo: writesTo(steps),
  }
}

/** The same truth at less cost: a flag need not be shifted down to be asked for. */
export function condition(expression: Expression): Expression {
  if (expression.kind !== 'binary' || expression.operator !== '>>') return expression
  const { left, right } = expression
  if (right.kind !== 'number' || left.kind !== 'binary' || left.operator !== '&') return expression
  const isWhole = left.right.kind === 'number' && (left.right.value & ((1 << right.value) - 1)) === 0
  return isWhole ? left : expression
}
