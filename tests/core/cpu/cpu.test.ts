import { describe, expect, test } from 'vitest'
import { attribute, type Cpu } from '../../../core/cpu/index.ts'
import { bench, engines, hex, put } from './engines.ts'

describe.each(engines)('the CPU as a %s', (_name, create) => {
  test('runs to the limit without cutting an instruction', () => {
    const { cpu } = bench(create, '3E 05 C6 03 C3 00 01')
    expect(cpu.run(8, false)).toBe('limit')
    expect(cpu.tStates).toBe(14)
    expect(cpu.registers()).toMatchObject({ pc: 0x104, af: 0x0808 })
  })

  test('runs in many small goes as in one big one', () => {
    const code = '06 00 21 00 40 34 23 10 FC ED 5F D3 01 18 F2'
    const one = bench(create, code)
    const many = bench(create, code)
    one.cpu.run(500_000, false)
    for (let t = 0; t < 500_000; t += 997) many.cpu.run(t, false)
    many.cpu.run(500_000, false)
    expect(many.cpu.save()).toEqual(one.cpu.save())
    expect(many.log).toEqual(one.log)
    expect(hex(many.cpu.memory) === hex(one.cpu.memory)).toBe(true)
  })

  test('a limit between two T-states is the next whole one; one that is no number is an error', () => {
    const { cpu } = bench(create, '00 00 00 00')
    expect(cpu.run(4.5, false)).toBe('limit')
    expect(cpu.tStates).toBe(8)
    expect(cpu.run(8, false)).toBe('limit')
    expect(cpu.tStates).toBe(8)
    expect(() => cpu.run(NaN, false)).toThrow(RangeError)
  })

  test('gives port accesses the T-state of their strobe and the address of their instruction', () => {
    const { cpu, log, supply } = bench(create, '3E 12 D3 34 DB 56 DD D3 78 ED 79', { bc: 0x9abc })
    supply.ports = [0x77]
    cpu.runSteps(5, 1000, false)
    expect(log).toEqual([
      'out 1234 12 @16 by 0102',
      'in 1256 @27 by 0104',
      'out 7778 77 @42 by 0106',
      'out 9ABC 77 @54 by 0109',
    ])
  })

  test('shows the registers to the bus while it is called', () => {
    const seen: number[] = []
    const { cpu } = bench(create, '3E 12 D3 34', {}, 0x100, (machine) => {
      seen.push(machine.registers().pc, machine.registers().af >> 8, machine.tStates)
    })
    cpu.runSteps(2, 100, false)
    expect(seen).toEqual([0x102, 0x12, 16])
  })

  test('knows the last instruction that it did, its prefixes with it', () => {
    const { cpu } = bench(create, '00 3E 01 DD 7D DD 78 C3 00 40')
    const seen = Array.from({ length: 5 }, () => {
      cpu.step()
      return cpu.lastPc
    })
    expect(seen).toEqual([0x100, 0x101, 0x103, 0x105, 0x107])
    cpu.restore(cpu.save())
    expect(cpu.lastPc).toBe(0)
  })

  describe('bytes with attributes', () => {
    test('ROM ignores writes', () => {
      const { cpu } = bench(create, '36 55 34', { hl: 0x4000 })
      cpu.attributes[0x4000] = attribute.readOnly
      cpu.memory[0x4000] = 7
      cpu.runSteps(2, 100, false)
      expect(cpu.memory[0x4000]).toBe(7)
    })

    test('a watched byte tells of its write before it takes place, with strobe time and instruction', () => {
      const { cpu, log } = bench(create, '00 36 55', { hl: 0x4000 })
      cpu.attributes[0x4000] = attribute.watchWrite
      cpu.runSteps(2, 100, false)
      expect(log).toEqual(['write 4000 55 @12 by 0101'])
      expect(cpu.memory[0x4000]).toBe(0x55)
    })

    test('a watched byte in ROM tells too, and stays', () => {
      const { cpu, log } = bench(create, 'C5', { bc: 0x1234, sp: 0x4001 })
      cpu.attributes.fill(attribute.watchWrite | attribute.readOnly, 0x3fff, 0x4001)
      cpu.step()
      expect(log).toEqual(['write 4000 12 @6 by 0100', 'write 3FFF 34 @9 by 0100'])
      expect([cpu.memory[0x4000], cpu.memory[0x3fff]]).toEqual([0, 0])
    })

    test('a run stops before an instruction that begins at a marked byte, and only there', () => {
      const { cpu } = bench(create, '3E 01 3E 02 3E 03')
      cpu.attributes[0x101] = attribute.stopAt
      cpu.attributes[0x104] = attribute.stopAt
      expect(cpu.run(1000, false)).toBe('stop-at')
      expect(cpu.registers()).toMatchObject({ pc: 0x104, af: 0x02ff })
      expect(cpu.lastPc).toBe(0x102)
      expect(cpu.run(1000, false)).toBe('stop-at')
      expect(cpu.tStates).toBe(14)
      expect(cpu.step()).toBe(7)
      expect(cpu.run(1000, false)).toBe('limit')
    })

    test('a mark set by the bus during a run counts at once', () => {
      const { cpu } = bench(create, 'D3 01 00 00', {}, 0x100, (machine) => {
        machine.attributes[0x103] = attribute.stopAt
      })
      expect(cpu.run(100_000, false)).toBe('stop-at')
      expect(cpu.registers().pc).toBe(0x103)
    })

    test('a byte with another attribute is executed as any other', () => {
      const { cpu } = bench(create, '3C 3C')
      cpu.attributes.fill(attribute.readOnly | attribute.watchWrite)
      expect(cpu.run(8, false)).toBe('limit')
    })
  })

  describe('a byte that stops', () => {
    const loop = '3C 18 FD'
    const stopping = () => {
      const { cpu } = bench(create, loop, { af: 0 })
      cpu.attributes[0x100] = attribute.stopAt
      return cpu
    }
    const rounds = (cpu: Cpu) => cpu.registers().af >> 8

    test('is passed as often as asked, then it stops', () => {
      for (const count of [0, 1, 2, 300]) {
        const cpu = stopping()
        cpu.passAt(0x100, count)
        expect(cpu.run(1e6, false)).toBe('stop-at')
        expect([rounds(cpu), cpu.passesLeft, cpu.tStates]).toEqual([count & 0xff, 0, 16 * count])
      }
    })

    test('counts while a limit, steps or a trace come between, but not a step past it', () => {
      const cpu = stopping()
      cpu.passAt(0x100, 20)
      for (let t = 0; t < 100; t += 3) cpu.run(t, false)
      const left = cpu.passesLeft
      expect(left).toBe(20 - Math.ceil(99 / 16))
      cpu.setTracing(true)
      while (cpu.registers().pc !== 0x100) cpu.step()
      cpu.step()
      expect(cpu.passesLeft).toBe(left)
      expect(cpu.runSteps(1000, 1e6, false)).toBe('stop-at')
      expect(rounds(cpu)).toBe(21)
    })

    test('at another address stops all the same, and restore forgets what was to be passed', () => {
      const cpu = stopping()
      cpu.passAt(0x101, 5)
      expect(cpu.run(1e6, false)).toBe('stop-at')
      expect([cpu.tStates, cpu.passesLeft]).toEqual([0, 5])
      cpu.passAt(0x100, 5)
      cpu.restore(cpu.save())
      expect(cpu.run(1e6, false)).toBe('stop-at')
      expect(cpu.tStates).toBe(0)
    })
  })

  test('does a number of steps, or fewer if the limit or HALT comes first', () => {
    const { cpu } = bench(create, '00 00 00 76')
    expect(cpu.runSteps(2, 1000, true)).toBe('steps')
    expect(cpu.registers().pc).toBe(0x102)
    expect(cpu.runSteps(0, 1000, true)).toBe('steps')
    expect(cpu.runSteps(5, 1000, true)).toBe('halted')
    expect(cpu.steps).toBe(4)
    expect(cpu.runSteps(5, 30, false)).toBe('limit')
    expect(cpu.steps).toBe(8)
    expect(cpu.runSteps(3, 1000, false)).toBe('steps')
    expect(cpu.steps).toBe(11)
  })

  test('comes back behind the running instruction when the bus asks for it', () => {
    const { cpu } = bench(create, 'D3 01 3C 3C', {}, 0x100, (machine) => machine.requestStop())
    expect(cpu.run(1000, false)).toBe('requested')
    expect(cpu.registers().pc).toBe(0x102)
    expect(cpu.run(15, false)).toBe('limit')
  })

  test('restore brings back all that save holds, in another machine too', () => {
    const code = 'FB 37 DD 21 34 12 ED 5F 3C 76'
    const whole = bench(create, code, { r: 0x91 })
    for (let steps = 0; steps < 6; steps++) {
      const { cpu } = bench(create, code, { r: 0x91 })
      cpu.runSteps(steps, 1000, false)
      const state = cpu.save()
      const other = bench(create, code)
      other.cpu.restore(state)
      expect(other.cpu.save()).toEqual(state)
      other.cpu.runSteps(6 - steps, 1000, false)
      if (steps === 0) whole.cpu.runSteps(6, 1000, false)
      expect(other.cpu.save()).toEqual(whole.cpu.save())
    }
  })

  test('tells the pages written since it was last asked', () => {
    const { cpu } = bench(create, '36 01 32 FF 7F C5 18 F8', { hl: 0x4000, sp: 0x9001 })
    cpu.runSteps(3, 1000, false)
    expect(cpu.takeDirtyPages()).toEqual([0x40, 0x7f, 0x8f, 0x90])
    expect(cpu.takeDirtyPages()).toEqual([])
  })

  test('follows the lowest SP if asked', () => {
    const { cpu } = bench(create, 'C5 C5 C1 C1 00')
    cpu.setStackWatch(true)
    cpu.runSteps(5, 1000, false)
    expect(cpu.lowestSp).toBe(0x7ffc)
  })

  describe('tracing', () => {
    const code = 'DD 36 01 07 C5 ED B0 76'
    const before = { ix: 0x4000, bc: 2, hl: 0x4001, de: 0x4100, iff1: true, im: 1 } as const

    test('keeps each step with the state before it and what it wrote', () => {
      const { cpu } = bench(create, code, before)
      const twin = bench(create, code, before).cpu
      put(cpu, 0x38, 'C9')
      put(twin, 0x38, 'C9')
      cpu.tStates = 10_000
      cpu.setTracing(true)
      expect(cpu.run(10_100, false)).toBe('limit')
      cpu.setInterruptLine(true)
      cpu.run(10_110, false)
      cpu.setTracing(false)
      const states = Array.from({ length: cpu.steps }, () => {
        if (twin.tStates >= 100) twin.setInterruptLine(true)
        const { tStates, registers } = twin.save()
        twin.step()
        return { t: 10_000 + tStates, pc: registers.pc, before: registers }
      })
      const steps = Array.from({ length: cpu.trace.length }, (_, index) => cpu.trace.at(index))
      expect(steps).toMatchObject(states)
      const { trace } = cpu
      const numbers = steps.map((_, index) => [trace.tAt(index), trace.pcAt(index), trace.spAt(index)])
      expect(numbers).toEqual(steps.map(({ t, pc, before: { sp } }) => [t, pc, sp]))
      expect(steps.flatMap(({ pc, writes }) => writes.map((write) => [pc, write]))).toEqual([
        [0x100, { address: 0x4001, before: 0, value: 7 }],
        [0x104, { address: 0x7fff, before: 0, value: 0 }],
        [0x104, { address: 0x7ffe, before: 0, value: 2 }],
        [0x105, { address: 0x4100, before: 0, value: 7 }],
        [0x105, { address: 0x4101, before: 0, value: 0 }],
        [0x108, { address: 0x7ffd, before: 0, value: 1 }],
        [0x108, { address: 0x7ffc, before: 0, value: 8 }],
      ])
      expect(new Set(steps.map((step) => step.kind))).toEqual(new Set(['instruction', 'halted', 'interrupt']))
    })

    test('keeps the newest when there is no room for all', () => {
      const { cpu } = bench(create, '03 18 FD')
      cpu.setTracing(true)
      cpu.run(3_000_000, false)
      expect(cpu.trace.length).toBe(cpu.trace.capacity)
      const last = cpu.trace.at(cpu.trace.length - 1)
      const first = cpu.trace.at(0)
      expect(cpu.tStates - last.t).toBe(last.pc === 0x100 ? 6 : 12)
      expect(last.t - first.t).toBe(
        9 * (cpu.trace.capacity - 1) + (last.pc === first.pc ? 0 : first.pc === 0x100 ? -3 : 3),
      )
      expect(() => cpu.trace.at(cpu.trace.length)).toThrow(RangeError)
    })

    test('begins anew when it is switched on again, and costs nothing once it is off', () => {
      const { cpu } = bench(create, '03 18 FD')
      cpu.setTracing(true)
      cpu.runSteps(5, 1000, false)
      cpu.setTracing(true)
      cpu.runSteps(2, 1000, false)
      cpu.setTracing(false)
      cpu.runSteps(9, 1000, false)
      expect(cpu.trace.length).toBe(2)
      expect([...cpu.attributes.subarray(0x20)].every((bits) => bits === 0)).toBe(true)
    })

    test('shows that ROM did not take a write', () => {
      const { cpu } = bench(create, '36 55', { hl: 0x4000 })
      cpu.attributes[0x4000] = attribute.readOnly
      cpu.setTracing(true)
      cpu.step()
      expect(cpu.trace.at(0).writes).toEqual([{ address: 0x4000, before: 0, value: 0 }])
    })
  })

  test('the trace is right at the start', () => {
    expect(bench(create, '').cpu.trace.length).toBe(0)
  })
})
