import { expect, test } from 'vitest'
import { createCpu, type AnyRegister, type Bus, type Registers } from '../../../core/cpu/index.ts'

const silent: Bus = { readPort: () => 0x5a, writePort: () => {}, acknowledge: () => 0xff, watchedWrite: () => {} }
const pairs = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy'] as const

/** A traced run over random bytes; memory is so full of everything that each register moves. */
function traced(steps: number) {
  const cpu = createCpu(silent)
  for (let i = 0, x = 12345; i < 0x10000; i++) {
    x = (Math.imul(x, 1103515245) + 12345) >>> 0
    const byte = x >>> 24
    cpu.memory[i] = byte === 0x76 ? 0 : byte
  }
  cpu.setTracing(true)
  cpu.runSteps(steps, Infinity, false)
  cpu.setTracing(false)
  return cpu.trace
}

/** A value as a number, however it is kept. */
function valueOf(before: Registers, register: AnyRegister): number {
  if (register in before) return Number(before[register as keyof Registers])
  const isSecond = register.endsWith('_')
  const name = register.replace('_', '')
  const pair = pairs.find((each) => each === `${pairNamed(name)}${isSecond ? '_' : ''}`)
  const word = pair === undefined ? NaN : before[pair]
  return /^[abdh]$|h$/.test(name) ? word >> 8 : word & 0xff
}
const pairNamed = (half: string) => (half.length === 3 ? half.slice(0, 2) : pairs.find((pair) => pair.includes(half)))

// Below and above the ring's capacity, so that it has gone around.
test.each([1, 700, 5_000])('the columns of %i traced steps say what the steps say', (count) => {
  const trace = traced(count)
  const names: readonly AnyRegister[] = [
    ...(Object.keys(trace.at(0).before) as (keyof Registers)[]),
    ...(['a', 'f', 'b', 'c', 'd', 'e', 'h', 'l', 'ixh', 'ixl', 'iyh', 'iyl'] as const),
    ...(['a_', 'f_', 'b_', 'c_', 'd_', 'e_', 'h_', 'l_'] as const),
  ]
  const columns = names.map((name) => [name, trace.column(name)] as const)
  const [times, kinds, writeCounts] = [trace.times(), trace.kinds(), trace.writeCounts()]
  const wrong: unknown[] = []
  const same = (what: string, index: number, found: number, wanted: number) => {
    if (found !== wanted) wrong.push({ what, index, found, wanted })
  }
  for (let index = 0; index < trace.length; index++) {
    const step = trace.at(index)
    for (const [name, column] of columns) same(name, index, column(index), valueOf(step.before, name))
    same('time', index, times(index), step.t)
    same('kind', index, kinds(index), ['instruction', 'interrupt', 'halted'].indexOf(step.kind))
    same('writes', index, writeCounts(index), step.writes.length)
    step.writes.forEach(({ address, before, value }, which) =>
      same('write', index, trace.writeAt(index, which) >>> 0, (address | (before << 16) | (value << 24)) >>> 0),
    )
  }
  expect(wrong).toEqual([])
})
