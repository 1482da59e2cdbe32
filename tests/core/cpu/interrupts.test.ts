import { describe, expect, test } from 'vitest'
import { attribute } from '../../../core/cpu/index.ts'
import { bench, engines, put, top } from './engines.ts'

// Source of effects and T-states unless another is named: z80-timing-other.csv (UM0080, compared with libz80ex and redcode/Z80).

describe.each(engines)('interrupts on the %s', (_name, create) => {
  const enabled = { iff1: true, iff2: true } as const

  test('mode 1 pushes PC, jumps to 0038 in 13 T-states, counts one refresh and one step', () => {
    const { cpu } = bench(create, '00 00', { ...enabled, im: 1, r: 0x7f })
    cpu.setInterruptLine(true)
    expect(cpu.step()).toBe(13)
    expect(cpu.registers()).toMatchObject({ pc: 0x38, wz: 0x38, sp: 0x7ffe, iff1: false, iff2: false, r: 0 })
    expect(top(cpu)).toBe(0x100)
    expect(cpu.steps).toBe(1)
  })

  test('mode 2 reads its vector at I and the byte on the bus, which may be odd, in 19 T-states', () => {
    const { cpu, supply, log } = bench(create, '00', { ...enabled, im: 2, i: 0x40 })
    supply.vectors = [0x55]
    put(cpu, 0x4055, '34 12')
    cpu.setInterruptLine(true)
    expect(cpu.step()).toBe(19)
    expect(cpu.registers()).toMatchObject({ pc: 0x1234, sp: 0x7ffe, iff1: false, iff2: false })
    expect(log).toEqual(['int @3 at 0100'])
  })

  test('mode 2 wraps its vector from FFFF to 0000', () => {
    const { cpu } = bench(create, '00', { ...enabled, im: 2, i: 0xff })
    put(cpu, 0xffff, '34 12')
    cpu.setInterruptLine(true)
    cpu.step()
    expect(cpu.registers().pc).toBe(0x1234)
  })

  test.each([0x00, 0x08, 0x10, 0x18, 0x20, 0x28, 0x30, 0x38])(
    'mode 0 does RST %i found on the bus in 13',
    (address) => {
      const { cpu, supply } = bench(create, '00', { ...enabled, im: 0 })
      supply.vectors = [0xc7 | address]
      cpu.setInterruptLine(true)
      expect(cpu.step()).toBe(13)
      expect(cpu.registers()).toMatchObject({ pc: address, iff1: false, iff2: false })
      expect(top(cpu)).toBe(0x100)
    },
  )

  test('mode 0 does any other instruction on the bus in two T-states more than in memory, without counting PC', () => {
    const { cpu, supply } = bench(create, '00', { ...enabled, im: 0, r: 5 })
    supply.vectors = [0xcd, 0x34, 0x12]
    cpu.setInterruptLine(true)
    expect(cpu.step()).toBe(19)
    expect(cpu.registers()).toMatchObject({ pc: 0x1234, iff1: false, r: 6 })
    expect(top(cpu)).toBe(0x100)
    expect(cpu.steps).toBe(1)
    const other = bench(create, '00', { ...enabled, im: 0, af: 0x1200, r: 5 })
    other.supply.vectors = [0xdd, 0x26, 0x77]
    other.cpu.setInterruptLine(true)
    expect(other.cpu.step()).toBe(13)
    expect(other.cpu.registers()).toMatchObject({ pc: 0x100, ix: 0x7700, r: 7 })
  })

  test('a non-maskable one takes 11 T-states to 0066, clears IFF1 and keeps IFF2', () => {
    const { cpu } = bench(create, '00', { ...enabled, im: 2, r: 0x85 })
    cpu.requestNmi()
    expect(cpu.step()).toBe(11)
    expect(cpu.registers()).toMatchObject({ pc: 0x66, iff1: false, iff2: true, r: 0x86 })
    expect(top(cpu)).toBe(0x100)
    expect(cpu.step()).toBe(4)
  })

  test('a non-maskable one goes before a maskable one, and needs no EI', () => {
    const { cpu } = bench(create, '00', { im: 1 })
    cpu.setInterruptLine(true)
    cpu.requestNmi()
    cpu.step()
    expect(cpu.registers().pc).toBe(0x66)
    cpu.step()
    expect(cpu.registers().pc).toBe(0x67)
  })

  test('RETN and RETI bring IFF1 back from IFF2, and a waiting request is then accepted', () => {
    for (const code of ['ED 45', 'ED 4D']) {
      const { cpu } = bench(create, '00 00', { ...enabled, im: 1 })
      put(cpu, 0x66, code)
      cpu.requestNmi()
      cpu.step()
      cpu.setInterruptLine(true)
      expect(cpu.step()).toBe(14)
      expect(cpu.registers()).toMatchObject({ pc: 0x100, iff1: true })
      cpu.run(cpu.tStates + 1, false)
      expect(cpu.registers().pc).toBe(0x38)
    }
  })

  test('none is accepted between EI and the end of the next instruction, also in a row of EI', () => {
    const { cpu } = bench(create, 'FB FB FB 3C 3C', { im: 1, af: 0 })
    cpu.setInterruptLine(true)
    cpu.run(4 * 4 + 1, false)
    expect(top(cpu)).toBe(0x104)
    expect(cpu.registers()).toMatchObject({ af: 0x0100, pc: 0x38 })
  })

  test('the wait after EI outlives the end of a run, and save and restore', () => {
    const first = bench(create, 'FB 3C 3C', { im: 1, af: 0 })
    first.cpu.run(4, false)
    const second = bench(create, 'FB 3C 3C')
    second.cpu.restore(first.cpu.save())
    for (const { cpu } of [first, second]) {
      expect(cpu.save().isAfterEi).toBe(true)
      cpu.setInterruptLine(true)
      cpu.step()
      expect(cpu.registers()).toMatchObject({ pc: 0x102, af: 0x0100 })
      cpu.step()
      expect(cpu.registers().pc).toBe(0x38)
    }
  })

  test('EI and DI around a request: EI; DI lets none through', () => {
    const { cpu } = bench(create, 'FB F3 00 00', { im: 1 })
    cpu.setInterruptLine(true)
    cpu.run(16, false)
    expect(cpu.registers().pc).toBe(0x104)
  })

  // libz80ex 1.1.21 in the table: no interrupt between a prefix and its instruction.
  test('none is accepted between prefixes and their instruction, not even a non-maskable one', () => {
    const { cpu } = bench(create, 'DD FD DD FD 3C', { ...enabled, im: 1, af: 0 })
    cpu.run(1, false)
    expect(cpu.tStates).toBe(20)
    const other = bench(create, 'D3 01 DD DD DD 3C', { ...enabled, im: 1, af: 0 }, 0x100, (machine) => {
      machine.requestNmi()
    })
    other.cpu.run(12, false)
    expect(top(other.cpu)).toBe(0x102)
  })

  test('LD A,I and LD A,R show IFF2 in P/V, but 0 when an interrupt is accepted right behind them', () => {
    for (const code of ['ED 57', 'ED 5F']) {
      const quiet = bench(create, code, { ...enabled, im: 1 })
      quiet.cpu.step()
      expect(quiet.cpu.registers().af & 4).toBe(4)
      const { cpu } = bench(create, code, { ...enabled, im: 1 })
      cpu.step()
      cpu.setInterruptLine(true)
      cpu.step()
      expect(cpu.registers()).toMatchObject({ pc: 0x38 })
      expect(cpu.registers().af & 4).toBe(0)
    }
  })

  test('the pin is looked at after each instruction: a request that goes away is not accepted', () => {
    const { cpu } = bench(create, '3C 3C', { ...enabled, im: 1 })
    cpu.setInterruptLine(true)
    cpu.setInterruptLine(false)
    cpu.step()
    expect(cpu.registers().pc).toBe(0x101)
  })

  test('a request raised by OUT is accepted behind that very instruction', () => {
    const { cpu } = bench(create, 'D3 10 3C', { ...enabled, im: 1 }, 0x100, (machine) => {
      machine.setInterruptLine(true)
    })
    cpu.run(12, false)
    expect(cpu.registers().pc).toBe(0x38)
    expect(top(cpu)).toBe(0x102)
  })

  test('a request raised by OTIR breaks the block between two rounds and it goes on after the return', () => {
    const { cpu, log } = bench(create, 'ED B3 76', { ...enabled, im: 1, bc: 0x0310, hl: 0x4000 }, 0x100, (machine) => {
      machine.setInterruptLine(machine.registers().bc >> 8 === 2)
    })
    put(cpu, 0x38, 'ED 4D')
    put(cpu, 0x4000, '11 22 33')
    cpu.run(21 + 13 + 14 + 21 + 16 + 4, true)
    expect(log.map((line) => line.split(' @')[0])).toEqual(['out 0210 11', 'int', 'out 0110 22', 'out 0010 33'])
    expect(cpu.registers()).toMatchObject({ pc: 0x103, isHalted: true })
  })
})

describe.each(engines)('a stop on the %s', (_name, create) => {
  test('asked for while an interrupt is being accepted is heeded at once', () => {
    const { cpu } = bench(create, '00', { iff1: true, im: 1 }, 0x100, undefined, (machine) => machine.requestStop())
    cpu.attributes[0x7fff] = attribute.watchWrite
    cpu.setInterruptLine(true)
    expect(cpu.run(100_000, false)).toBe('requested')
    expect(cpu.registers().pc).toBe(0x38)
    expect(cpu.tStates).toBe(13)
  })
})

describe.each(engines)('HALT on the %s', (_name, create) => {
  test('waits in steps of 4 T-states with a refresh each, PC behind it', () => {
    const { cpu } = bench(create, '76', { r: 0xfe })
    cpu.run(4 + 4 * 10, false)
    expect(cpu.tStates).toBe(44)
    expect(cpu.steps).toBe(11)
    expect(cpu.registers()).toMatchObject({ pc: 0x101, isHalted: true, r: 0x80 | ((0x7e + 11) & 0x7f) })
  })

  test('does not pass the limit by more than the rest of 4 T-states', () => {
    const { cpu } = bench(create, '76')
    cpu.run(1_000_001, false)
    expect(cpu.tStates).toBe(1_000_004)
    expect(cpu.steps).toBe(250_001)
  })

  test('stops the run where that is asked for, and again if it is asked again', () => {
    const { cpu } = bench(create, '76')
    expect(cpu.run(1000, true)).toBe('halted')
    expect(cpu.run(1000, true)).toBe('halted')
    expect(cpu.tStates).toBe(4)
  })

  // Both sources of the table agree that the address behind HALT is pushed.
  test('wakes by an interrupt, which pushes the address behind it', () => {
    const { cpu } = bench(create, '76 3C', { iff1: true, iff2: true, im: 1 })
    cpu.run(40, false)
    cpu.setInterruptLine(true)
    expect(cpu.step()).toBe(13)
    expect(cpu.registers()).toMatchObject({ isHalted: false, pc: 0x38 })
    expect(top(cpu)).toBe(0x101)
  })

  test('wakes by a non-maskable interrupt, not by a masked one', () => {
    const { cpu } = bench(create, '76', { im: 1 })
    cpu.run(8, false)
    cpu.setInterruptLine(true)
    cpu.run(16, false)
    expect(cpu.registers().isHalted).toBe(true)
    cpu.requestNmi()
    cpu.step()
    expect(cpu.registers()).toMatchObject({ isHalted: false, pc: 0x66 })
  })

  test('behind EI still lets the request through: EI; HALT is how programs wait', () => {
    const { cpu } = bench(create, 'FB 76', { im: 1 })
    cpu.setInterruptLine(true)
    cpu.run(9, false)
    expect(cpu.registers()).toMatchObject({ pc: 0x38, isHalted: false })
    expect(top(cpu)).toBe(0x102)
  })

  test('forgets the flags for SCF: the NOPs it executes change none', () => {
    const { cpu } = bench(create, '37 76', { af: 0 })
    cpu.run(16, false)
    expect(cpu.registers().q).toBe(0)
  })
})

describe.each(engines)('RESET on the %s', (_name, create) => {
  test('clears PC, I, R, the mode and both flip-flops, wakes from HALT, and keeps memory', () => {
    const { cpu } = bench(create, '76', { iff1: true, iff2: true, im: 2, i: 9, r: 9, bc: 0x1234 })
    cpu.run(20, false)
    cpu.reset()
    expect(cpu.registers()).toMatchObject({ pc: 0, i: 0, r: 0, im: 0, iff1: false, iff2: false, isHalted: false })
    expect(cpu.registers().bc).toBe(0x1234)
    expect(cpu.memory[0x100]).toBe(0x76)
  })

  test('AF and SP are FFFF at power-on', () => {
    expect(bench(create, '', { sp: undefined }).cpu.registers()).toMatchObject({ af: 0xffff, sp: 0xffff })
  })
})
