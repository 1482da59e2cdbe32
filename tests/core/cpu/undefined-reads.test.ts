import { expect, test } from 'vitest'
import { attribute, instructionSet, memoryReads, stopsForUndefined, type Cpu } from '../../../core/cpu/index.ts'
import { bench, engines } from './engines.ts'

const at = 0x1000
const registers = { bc: 0x2210, de: 0x3320, hl: 0x4430, ix: 0x5540, iy: 0x6650, sp: 0x7760 }
const mark = attribute.stopAt | attribute.onlyForUndefined

/** Whether the machine stops before the instruction where these bytes hold what nothing has set. */
function stops(cpu: Cpu, bytes: readonly number[], isUndefined: (address: number) => boolean): boolean {
  cpu.memory.set(bytes, at)
  const places = [0x2210, 0x3320, 0x4430, 0x5533, 0x6643, 0x7760, 0x7761, 0x5540, 0x6650]
  cpu.attributes.fill(0)
  for (const address of places) cpu.attributes[address] = isUndefined(address) ? attribute.undefined : 0
  cpu.attributes[at] = (cpu.attributes[at] ?? 0) | mark
  cpu.setRegisters({ ...registers, af: 0, pc: at, isHalted: false, iff1: false })
  const { steps } = cpu
  cpu.runSteps(1, Infinity, false)
  return cpu.steps === steps
}

test.each(engines)(
  '%s: a byte marked so stops only where the instruction would read something undefined',
  (_, create) => {
    const { cpu } = bench(create, '')
    const operands: Readonly<Record<string, number>> = { n: 0x35, nl: 0x34, nh: 0x82, d: 0xf3, e: 0x10 }
    let reading = 0
    for (const { encoding, text } of instructionSet) {
      const bytes = encoding.map((byte) => (typeof byte === 'number' ? byte : (operands[byte] ?? 0)))
      const rules = memoryReads((offset) => bytes[offset] ?? 0)
      if (rules.length === 0 || !stopsForUndefined((offset) => bytes[offset] ?? 0)) continue
      reading += 1
      const read = rules.map(
        ({ register, offset }) => ((register === null ? 0 : registers[register]) + offset) & 0xffff,
      )
      for (const address of read) expect([text, stops(cpu, bytes, (each) => each === address)]).toEqual([text, true])
      expect([text, stops(cpu, bytes, (each) => !read.includes(each))]).toEqual([text, false])
    }
    expect(reading).toBeGreaterThan(300)
  },
)

test.each(engines)('%s: the first write to a byte takes both marks off', (_, create) => {
  const { cpu } = bench(create, '77 76', { hl: 0x2000 })
  cpu.attributes[0x2000] = attribute.undefined | attribute.unwritten
  cpu.run(100, true)
  expect(cpu.attributes[0x2000]).toBe(0)
})
