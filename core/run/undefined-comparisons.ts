import { registerParts, type Addr, type Registers } from '../cpu/index.ts'
import { forEachPart, type FlowPlan } from './flow-plan.ts'
import type { ComparisonOfUndefined } from './undefined-use.ts'

/** Registers, bytes of the instruction and memory as they are before it. */
export type StateBefore = Parameters<FlowPlan['flow']['memoryReads'][number]['address']>[0]

const most = 8
const partA = registerParts.indexOf('A')
/** Where the parts from A to IYL lie. */
const places = (['af', 'bc', 'de', 'hl', 'ix', 'iy'] as const)
  .flatMap((pair) => [[pair, 8] as const, [pair, 0] as const])
  .filter(([pair, shift]) => pair !== 'af' || shift !== 0)

/** What a program compares values with that nothing set: on another start one of them may be equal. */
export class Comparisons {
  readonly #found: ComparisonOfUndefined[] = []

  /**
   * Of an instruction that compares something defined with something that is not; any other is passed over. `undefinedParts`
   * are the registers that nothing set; `read` is the address of the byte that it reads, if it reads one.
   */
  note(
    { compares, flow }: FlowPlan,
    { registers, bytes, read: byteAt }: StateBefore,
    undefinedParts: number,
    read: Addr | null,
    isReadUndefined: boolean,
  ): void {
    if (compares === null) return
    const isTold = (parts: number): boolean => (parts & undefinedParts) === 0
    const isOtherDefined = read === null ? isTold(compares.other) : !isReadUndefined
    if (isOtherDefined === isTold(compares.first)) return
    const first = valueOfParts(registers, compares.first)
    const other =
      read !== null
        ? byteAt(read)
        : compares.other === 0
          ? (bytes[flow.length - 1] ?? 0)
          : valueOfParts(registers, compares.other)
    const [value, against] = isOtherDefined ? [first, other] : [other, first]
    const isKnown = this.#found.some((each) => each.value === value && each.with === against)
    if (!isKnown && this.#found.length < most) this.#found.push({ value, with: against, isWord: compares.isWord })
  }

  lastFirst(): readonly ComparisonOfUndefined[] {
    return this.#found.toReversed()
  }
}

/** The value of one or two parts, the high one first. */
function valueOfParts(registers: Registers, parts: number): number {
  let value = 0
  forEachPart(parts, (part) => {
    const [pair, shift] = places[part - partA] ?? ['af', 0]
    value = (value << 8) | ((registers[pair] >> shift) & 0xff)
  })
  return value
}
