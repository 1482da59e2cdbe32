import type { Registers } from '../cpu/index.ts'
import type { CaseRun } from '../exercise/index.ts'

const pairs = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy'] as const satisfies (keyof Registers)[]
const others = ['sp', 'pc', 'i', 'im', 'iff1', 'iff2'] as const satisfies (keyof Registers)[]

/** Whether two runs of a case on different starts went the same way at the same time, whatever values they had. */
export function isSamePath({ result: a }: CaseRun, { result: b }: CaseRun): boolean {
  return (
    a.steps === b.steps &&
    a.tStates === b.tStates &&
    a.lastPc === b.lastPc &&
    a.lowestSp === b.lowestSp &&
    JSON.stringify(a.end) === JSON.stringify(b.end) &&
    a.events.equals(b.events, true)
  )
}

/**
 * Whether two runs that went the same way did the same and left the same, but for registers and bytes that neither of them
 * changed. R counts on from what it held, and is left out.
 */
export function isSameOutcome(one: CaseRun, two: CaseRun): boolean {
  return one.result.events.equals(two.result.events) && areRegistersSame(one, two) && isMemorySame(one, two)
}

function areRegistersSame(one: CaseRun, two: CaseRun): boolean {
  const [a, b] = [one.result.registers, two.result.registers]
  if (others.some((name) => a[name] !== b[name])) return false
  const [before, beforeToo] = [one.initial().registers, two.initial().registers]
  return pairs.every((pair) =>
    [0xff00, 0xff].every((half) => {
      const isKept = ((a[pair] ^ before[pair]) & half) === 0 && ((b[pair] ^ beforeToo[pair]) & half) === 0
      return isKept || ((a[pair] ^ b[pair]) & half) === 0
    }),
  )
}

function isMemorySame(one: CaseRun, two: CaseRun): boolean {
  const [a, b] = [one.result.memory, two.result.memory]
  const [before, beforeToo] = [one.initial().memory, two.initial().memory]
  for (const { kind, from, to } of one.profile.memory) {
    if (kind !== 'ram') continue
    for (let at = from; at <= to; at++)
      if (a[at] !== b[at] && (a[at] !== before[at] || b[at] !== beforeToo[at])) return false
  }
  return true
}
