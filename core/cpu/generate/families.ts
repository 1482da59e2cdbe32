import { bitsOf, registerBits, type Expression, type RegisterName, type Statement } from '../effect.ts'
import type { Definition } from '../instruction-set.ts'
import type { RegisterInMemory } from '../layout.ts'
import { shapeOf, shapeOfSteps, sharing, type Shape } from './shape.ts'

/** What an instruction puts into a slot before the common part: a value, or the register that a result goes to. */
export type Filling = Expression | { readonly kind: 'place'; readonly register: RegisterInMemory }

/** Instructions that do the same with other registers, bits or conditions. */
export interface Family {
  /** What all of them do, with the locals `slots` in place of what differs. */
  readonly shape: Shape
  readonly slots: readonly string[]
  /** For each instruction what goes into the slots. */
  readonly members: ReadonlyMap<Definition, readonly Filling[]>
}

/** Registers whose reading or setting is more than a load or a store. */
const special: readonly string[] = ['F', 'PC', 'R', 'Q', 'IM', 'IFF1', 'IFF2', 'WZ']
const isSpecial = (name: RegisterName): name is 'F' | 'PC' | 'R' | 'Q' | 'IM' | 'IFF1' | 'IFF2' | 'WZ' =>
  special.includes(name)

interface Spot {
  readonly filling: Filling
  readonly bits: number
  /** Whether it is the same at the start of the instruction. */
  readonly isKnownAtStart: boolean
}

/** Visits what may differ between two instructions, and puts in its place what `replace` gives: a local, or itself. */
function eachSpot(steps: readonly Statement[], replace: (spot: Spot) => Expression | string | null) {
  const places = new Map<Statement, string>()
  const setBefore = new Set<string>()
  const spot = (filling: Expression, names: readonly RegisterName[]): Expression => {
    const isKnownAtStart = !names.some((name) => setBefore.has(name))
    const result = replace({ filling, bits: bitsOf(filling), isKnownAtStart })
    return result === null || typeof result === 'string' ? filling : result
  }
  const value = (part: Expression): Expression => {
    switch (part.kind) {
      case 'number':
        return spot(part, [])
      case 'register':
        return isSpecial(part.name) ? part : spot(part, [part.name])
      case 'binary':
        return { ...part, left: value(part.left), right: value(part.right) }
      case 'not':
        return { ...part, of: value(part.of) }
      case 'choose':
        return { ...part, condition: value(part.condition), then: value(part.then), otherwise: value(part.otherwise) }
      case 'flags':
        return { ...part, index: value(part.index) }
      case 'local':
      case 'operand':
        return part
    }
  }
  const inside = (some: readonly Statement[]): Statement[] =>
    some.map((step): Statement => {
      switch (step.kind) {
        case 'let':
          return { ...step, value: value(step.value) }
        case 'set': {
          const result = { ...step, value: value(step.value) }
          const { register } = step
          if (!isSpecial(register)) {
            const slot = replace({
              filling: { kind: 'place', register },
              bits: registerBits[register],
              isKnownAtStart: true,
            })
            if (typeof slot === 'string') places.set(result, slot)
          }
          for (const name of sharing(register)) setBefore.add(name)
          return result
        }
        case 'read':
        case 'input':
          return { ...step, address: value(step.address) }
        case 'write':
        case 'output':
          return { ...step, address: value(step.address), value: value(step.value) }
        case 'if':
        case 'when': {
          const condition = isOfFlags(step.condition) ? spot(step.condition, ['F']) : value(step.condition)
          return { ...step, condition, body: inside(step.body) }
        }
        default:
          return step
      }
    })
  return { steps: inside(steps), places }
}

/** A condition on flags counts as a whole: one slot says whether it holds. */
function isOfFlags(expression: Expression): boolean {
  switch (expression.kind) {
    case 'number':
      return true
    case 'register':
      return expression.name === 'F'
    case 'binary':
      return isOfFlags(expression.left) && isOfFlags(expression.right)
    case 'not':
      return isOfFlags(expression.of)
    default:
      return false
  }
}

/** The spots of an instruction, and a text that is the same for all that differ in nothing else. */
function spotsOf(definition: Definition) {
  const spots: Spot[] = []
  const { steps } = eachSpot(shapeOf(definition).steps, (spot) => {
    spots.push(spot)
    return spot.filling.kind === 'place' ? '' : { kind: 'local', name: 'spot', bits: 0 }
  })
  const kinds = spots.map(({ filling: { kind }, bits }) =>
    kind === 'register' || kind === 'place' ? kind + bits : 'any',
  )
  const { encoding, machineCycles, machineCyclesNotTaken } = definition
  const opcodeAt = encoding.findLastIndex((byte) => typeof byte === 'number')
  const form = encoding.map((byte, at) => (at === opcodeAt ? 'opcode' : byte))
  const key = JSON.stringify([form, machineCycles, machineCyclesNotTaken ?? [], kinds, steps], (name, part: unknown) =>
    name === 'register' && typeof part === 'string' && !special.includes(part) ? 'spot' : part,
  )
  return { definition, spots, key }
}

function familyOf(all: readonly ReturnType<typeof spotsOf>[]): Family | null {
  const [first] = all
  if (!first) return null
  const column = (at: number) => JSON.stringify(all.map(({ spots }) => spots[at]?.filling))
  const differs = first.spots.map(({ filling }, at) =>
    all.some(({ spots }) => JSON.stringify(spots[at]?.filling) !== JSON.stringify(filling)),
  )
  if (all.some(({ spots }) => spots.some(({ isKnownAtStart }, at) => differs[at] && !isKnownAtStart))) return null
  // Two spots that are always the same are one slot.
  const columns = [...new Set(first.spots.flatMap((_, at) => (differs[at] ? [column(at)] : [])))]
  const slotOf = (at: number) => `slot ${columns.indexOf(column(at))}`
  let at = -1
  const { steps, places } = eachSpot(shapeOf(first.definition).steps, ({ filling }) => {
    at += 1
    if (!differs[at]) return null
    const bits = Math.max(...all.map(({ spots }) => spots[at]?.bits ?? 32))
    return filling.kind === 'place' ? slotOf(at) : { kind: 'local', name: slotOf(at), bits }
  })
  const fillings = (spots: readonly Spot[]) =>
    columns.flatMap((each) => spots.find((_, spot) => differs[spot] && column(spot) === each)?.filling ?? [])
  return {
    shape: { ...shapeOfSteps(first.definition, steps), places },
    slots: columns.map((_, slot) => `slot ${slot}`),
    members: new Map(all.map(({ definition, spots }) => [definition, fillings(spots)])),
  }
}

/** Families of `least` instructions and more. */
export function familiesOf(definitions: readonly Definition[], least: number): readonly Family[] {
  const groups = new Map<string, ReturnType<typeof spotsOf>[]>()
  for (const each of definitions.map(spotsOf)) groups.set(each.key, [...(groups.get(each.key) ?? []), each])
  return [...groups.values()].flatMap((group) => (group.length < least ? [] : (familyOf(group) ?? [])))
}
