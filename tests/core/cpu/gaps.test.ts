import { describe, expect, test } from 'vitest'
import { decode, instructionSet } from '../../../core/cpu/index.ts'
import { bench, engines, hex, put } from './engines.ts'

// What the step cases do not hold (README beside them). Sources: z80-timing-undocumented.csv for the unused codes
// (libz80ex 1.1.21) and lengths; the manual UM0080 from memory for the blocks and R; where neither has it, the law is named.

const lastRounds = [
  ['LDIR', 'ED B0', { bc: 1, de: 0x5000, hl: 0x4000 }, { bc: 0, de: 0x5001, hl: 0x4001 }],
  ['LDDR', 'ED B8', { bc: 1, de: 0x5000, hl: 0x4000 }, { bc: 0, de: 0x4fff, hl: 0x3fff }],
  ['CPIR', 'ED B1', { bc: 1, hl: 0x4000, af: 0x0000 }, { bc: 0, hl: 0x4001 }],
  ['CPDR', 'ED B9', { bc: 1, hl: 0x4000, af: 0x0000 }, { bc: 0, hl: 0x3fff }],
  ['INIR', 'ED B2', { bc: 0x0110, hl: 0x4000 }, { bc: 0x0010, hl: 0x4001 }],
  ['INDR', 'ED BA', { bc: 0x0110, hl: 0x4000 }, { bc: 0x0010, hl: 0x3fff }],
  ['OTIR', 'ED B3', { bc: 0x0110, hl: 0x4000 }, { bc: 0x0010, hl: 0x4001 }],
  ['OTDR', 'ED BB', { bc: 0x0110, hl: 0x4000 }, { bc: 0x0010, hl: 0x3fff }],
] as const

describe.each(engines)('the gaps of the step cases on the %s', (_name, create) => {
  test.each(lastRounds)(
    'the last round of %s takes 16 T-states and goes on behind it',
    (_text, code, before, after) => {
      const { cpu } = bench(create, code, before)
      put(cpu, 0x4000, 'A5')
      expect(cpu.step()).toBe(16)
      expect(cpu.registers()).toMatchObject({ pc: 0x102, ...after })
    },
  )

  // The law: the last round of a repeating block is the block instruction without repeat, in everything but its opcode.
  test.each(lastRounds)('the last round of %s leaves what the single instruction leaves', (_text, code, before) => {
    const single = code.replace('B', 'A')
    const machines = [code, single].map((each) => {
      const it = bench(create, each, before)
      put(it.cpu, 0x4000, 'A5')
      it.supply.ports = [0x7e]
      it.cpu.step()
      return { state: it.cpu.save(), log: it.log, memory: hex(it.cpu.memory.subarray(0x3f00)) }
    })
    expect(machines[0]).toEqual(machines[1])
  })

  test.each([
    ['LDIR', 'ED B0', { bc: 5, de: 0x5000, hl: 0x4000 }, 4 * 21 + 16],
    ['LDDR', 'ED B8', { bc: 5, de: 0x5004, hl: 0x4004 }, 4 * 21 + 16],
    ['CPIR', 'ED B1', { bc: 5, hl: 0x4000, af: 0xee00 }, 4 * 21 + 16],
    ['OTIR', 'ED B3', { bc: 0x0510, hl: 0x4000 }, 4 * 21 + 16],
    ['INIR', 'ED B2', { bc: 0x0510, hl: 0x4000 }, 4 * 21 + 16],
  ] as const)('%s over five bytes is five steps and ten refreshes', (_text, code, before, tStates) => {
    const { cpu } = bench(create, code, { ...before, r: 0x80 })
    put(cpu, 0x4000, '01 02 03 04 05')
    cpu.run(tStates, false)
    expect(cpu.tStates).toBe(tStates)
    expect(cpu.steps).toBe(5)
    expect(cpu.registers()).toMatchObject({ pc: 0x102, r: 0x8a })
  })

  test('LDIR with BC = 0 moves 65,536 bytes', () => {
    const { cpu } = bench(create, 'ED B0', { bc: 0, hl: 0x4000, de: 0x4000 })
    cpu.run(65_535 * 21 + 16, false)
    expect(cpu.registers()).toMatchObject({ bc: 0, pc: 0x102 })
    expect(cpu.steps).toBe(65_536)
  })

  test('LDIR that overwrites itself does what then stands there', () => {
    const { cpu } = bench(create, 'ED B0 00', { bc: 0x10, hl: 0x4000, de: 0x100 })
    put(cpu, 0x4000, '3C 3C 3C')
    cpu.run(21 + 4, false)
    expect(cpu.registers()).toMatchObject({ pc: 0x101, bc: 0x0f, de: 0x101 })
  })

  test('R counts its lower seven bits and keeps the eighth, also above 7F', () => {
    const { cpu } = bench(create, '00 CB 00 DD 00 ED 5F DD CB 00 06', { r: 0xfe, af: 0 })
    const seen = [0xff, 0x81, 0x83].map((r) => {
      cpu.step()
      return [cpu.registers().r, r]
    })
    for (const [found, wanted] of seen) expect(found).toBe(wanted)
    cpu.step()
    expect(cpu.registers().af >> 8).toBe(0x85)
    cpu.step()
    expect(cpu.registers().r).toBe(0x87)
  })

  test('LD R,A sets all eight bits', () => {
    for (const r of [0x00, 0x7f, 0x80, 0xff]) {
      const { cpu } = bench(create, 'ED 4F 00 ED 5F', { af: r << 8, r: 0x55 })
      cpu.step()
      expect(cpu.registers().r).toBe(r)
      cpu.runSteps(2, 1000, false)
      expect(cpu.registers().af >> 8).toBe((r & 0x80) | ((r + 3) & 0x7f))
    }
  })

  test('each of the 176 unused ED codes takes 8 T-states, counts two refreshes and changes nothing else', () => {
    // ED 77 and ED 7F do nothing either, but they are among the step cases.
    const unused = instructionSet.filter(
      ({ text, encoding }) => text === 'NOP' && encoding[0] === 0xed && encoding[1] !== 0x77 && encoding[1] !== 0x7f,
    )
    expect(unused.length).toBe(176)
    const registers = { af: 0x12d7, bc: 0x3456, de: 0x789a, hl: 0xbcde, ix: 1, iy: 2, wz: 3, r: 0xff }
    const { cpu } = bench(create, '', registers)
    const memory = hex(cpu.memory)
    for (const { encoding } of unused) {
      cpu.memory[0x100] = 0xed
      cpu.memory[0x101] = Number(encoding[1])
      cpu.setRegisters({ pc: 0x100, r: 0xff })
      const before = cpu.registers()
      expect(cpu.step()).toBe(8)
      expect(cpu.registers()).toEqual({ ...before, pc: 0x102, r: 0x81, q: 0 })
    }
    cpu.memory.fill(0, 0x100, 0x102)
    expect(hex(cpu.memory) === memory).toBe(true)
  })

  test('in a chain of prefixes the last one counts, each other costs 4 T-states and a refresh, all is one step', () => {
    const { cpu } = bench(create, 'DD FD DD DD FD 21 34 12', { ix: 1, iy: 2, hl: 3, r: 0 })
    expect(cpu.step()).toBe(4 * 4 + 14)
    expect(cpu.registers()).toMatchObject({ ix: 1, iy: 0x1234, hl: 3, pc: 0x108, r: 6 })
    expect(cpu.steps).toBe(1)
    expect(cpu.lastPc).toBe(0x100)
  })

  test('ED takes a DD or FD before it away', () => {
    const { cpu } = bench(create, 'DD ED 6A', { hl: 0x1000, ix: 0x2000, af: 0 })
    expect(cpu.step()).toBe(4 + 15)
    expect(cpu.registers()).toMatchObject({ hl: 0x2000, ix: 0x2000, pc: 0x103 })
  })

  test('memory full of prefixes does not hang: the chain is cut behind the limit and goes on in the next run', () => {
    const { cpu } = bench(create, '', { iff1: true, im: 1 })
    cpu.memory.fill(0xdd)
    cpu.run(1000, false)
    expect(cpu.tStates).toBeGreaterThanOrEqual(1000)
    expect(cpu.tStates).toBeLessThan(100_000)
    cpu.setInterruptLine(true)
    const cut = cpu.tStates
    cpu.run(cut + 10, false)
    expect(cpu.tStates).toBeGreaterThan(cut)
    expect(cpu.registers().iff1).toBe(true)
  })

  test('instructions run over the end of memory', () => {
    const { cpu } = bench(create, '', {})
    put(cpu, 0xfffe, 'DD CB 05 C6')
    cpu.setRegisters({ pc: 0xfffe, ix: 0x3ffb })
    expect(cpu.step()).toBe(23)
    expect(cpu.registers().pc).toBe(2)
    expect(cpu.memory[0x4000]).toBe(1)
  })

  test('a byte written at the start of memory is the one read over its end', () => {
    const { cpu } = bench(create, '', { af: 0x5500, hl: 0 })
    put(cpu, 0xfffe, '77 3E 00')
    cpu.setRegisters({ pc: 0xfffe })
    cpu.runSteps(2, 1000, false)
    expect(cpu.registers()).toMatchObject({ pc: 1, af: 0x5500 })
  })

  test('every instruction takes the T-states that its row says, at each address and after any prefix', () => {
    const { cpu } = bench(create, '')
    for (const instruction of instructionSet) {
      instruction.encoding.forEach(
        (byte, offset) => (cpu.memory[0x200 + offset] = typeof byte === 'number' ? byte : 0x40),
      )
      cpu.setRegisters({
        pc: 0x200,
        sp: 0x8000,
        isHalted: false,
        bc: 0x0203,
        hl: 0x4000,
        ix: 0x4000,
        iy: 0x4000,
        af: 0,
      })
      const sum = (cycles: readonly number[] = []) => cycles.reduce((all, each) => all + each, 0)
      expect([sum(instruction.machineCycles), sum(instruction.machineCyclesNotTaken)]).toContain(cpu.step())
      expect(decode((at) => cpu.memory[at] ?? 0, 0x200).bytes.length).toBe(instruction.encoding.length)
    }
  })
})
