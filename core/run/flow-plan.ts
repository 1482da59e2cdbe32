import { dataFlow, registerParts, type Addr, type DataFlow, type Sources } from '../cpu/index.ts'

const partNumbers = new Map<string, number>(registerParts.map((name, part) => [name, part]))

/** A bit for each of these parts of the registers. */
export function bitsOfParts(...names: readonly string[]): number {
  return names.reduce((bits, name) => bits | (1 << (partNumbers.get(name) ?? 0)), 0)
}

/** What an instruction at one address takes in and where, worked out when it is first executed. */
export interface FlowPlan {
  readonly flow: DataFlow
  readonly length: number
  /** A bit for each part that goes into anything it makes or decides. */
  readonly reads: number
  /** It hands values on as they are. */
  readonly isMove: boolean
  /** Where it reads memory: not at all, at SP, at an address in its own bytes, or wherever a register points. */
  readonly readsAt: 'nowhere' | 'stack' | 'fixed' | 'anywhere'
  /** It sets SP to something else than one push or pop farther on. */
  readonly movesStack: boolean
  /** It makes something else of SP: an address from which the stack can be read and written to. */
  readonly showsStack: boolean
  /** What it compares, or takes from each other: a register, and another, a byte of memory, or its own last byte. */
  readonly compares: { readonly first: number; readonly other: number; readonly isWord: boolean } | null
  readonly isPopOfFlags: boolean
  readonly isExchangeOfFlags: boolean
}

const known = new Map<string, FlowPlan>()
/** By the four bytes from an instruction's first one on. */
const byBytes = new Map<number, FlowPlan>()
const mostKept = 20_000
const allFlags = 0xff
const stackOnly = bitsOfParts('SP')
/** The high half of a port's address goes on the bus, but no port of a board looks at it. */
const portHigh = bitsOfParts('A', 'B')

/** Null where a prefix is overridden by another one: no program that assembles has that. */
export function flowPlanAt(memory: Uint8Array, at: Addr): FlowPlan | null {
  const byteAt = (offset: number): number => memory[(at + offset) & 0xffff] ?? 0
  const key = (byteAt(0) << 24) | (byteAt(1) << 16) | (byteAt(2) << 8) | byteAt(3)
  const before = byBytes.get(key)
  if (before !== undefined) return before
  const isPrefix = (byte: number): boolean => byte === 0xdd || byte === 0xfd
  if (isPrefix(byteAt(0)) && (isPrefix(byteAt(1)) || byteAt(1) === 0xed)) return null
  const flow = dataFlow(byteAt)
  const plan = known.get(flow.text) ?? planOf(flow)
  known.set(flow.text, plan)
  if (byBytes.size >= mostKept) byBytes.clear()
  byBytes.set(key, plan)
  return plan
}

function planOf(flow: DataFlow): FlowPlan {
  const { text } = flow
  let reads = 0
  const take = (sources: Sources, mask = -1): void => {
    reads |= sources.parts & mask
  }
  forEachPart(flow.writes, (part) => take(flow.from(part)))
  for (const access of flow.memoryReads) take(access.addressFrom)
  for (const access of flow.memoryWrites) {
    take(access.addressFrom)
    take(access.valueFrom)
  }
  for (const access of flow.portReads) take(access.addressFrom, ~portHigh)
  for (const access of flow.portWrites) {
    take(access.addressFrom, ~portHigh)
    take(access.valueFrom)
  }
  if (flow.jump?.when) take(flow.jump.when)
  if (flow.jump !== null) take(flow.jump.toFrom)
  const addressParts = flow.memoryReads.reduce((bits, { addressFrom }) => bits | addressFrom.parts, 0)
  const readsAt =
    flow.memoryReads.length === 0
      ? 'nowhere'
      : addressParts === 0
        ? 'fixed'
        : addressParts === stackOnly
          ? 'stack'
          : 'anywhere'
  return {
    flow,
    length: flow.length,
    reads,
    isMove: /^(LD|PUSH|POP|EX|EXX|LDI|LDIR|LDD|LDDR)( |$)/.test(text),
    readsAt,
    movesStack: (flow.writes & stackOnly) !== 0 && /^(LD|INC|DEC|EX)\b/.test(text),
    showsStack: showsStack(flow),
    compares: comparedIn(flow),
    isPopOfFlags: text === 'POP AF',
    isExchangeOfFlags: text.startsWith('EX AF'),
  }
}

/** Told by what goes into Z: only comparing and subtracting set it by all bits of two values. */
function comparedIn({ text, from, writes }: DataFlow): FlowPlan['compares'] {
  if (!/^(CP|CPI|CPIR|CPD|CPDR|SUB|XOR|SBC|ADC|ADD A)\b/.test(text)) return null
  if ((writes & bitsOfParts('ZF')) === 0) return null
  const isWord = /^(SBC|ADC) HL/.test(text)
  const first = isWord ? bitsOfParts('H', 'L') : bitsOfParts('A')
  const other = from(partNumbers.get('ZF') ?? 0).parts & ~first & ~allFlags & ~stackOnly
  return { first, other, isWord }
}

function showsStack({ writes, from, memoryWrites }: DataFlow): boolean {
  let isShown = memoryWrites.some(({ valueFrom }) => (valueFrom.parts & stackOnly) !== 0)
  forEachPart(writes & ~stackOnly, (part) => {
    if ((from(part).parts & stackOnly) !== 0) isShown = true
  })
  return isShown
}

/** Calls `visit` with the number of each part in a set. */
export function forEachPart(parts: number, visit: (part: number) => void): void {
  for (let rest = parts; rest !== 0; rest &= rest - 1) visit(31 - Math.clz32(rest & -rest))
}
