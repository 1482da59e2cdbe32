import { describe, expect, test } from 'vitest'
import { createBusProbe, type Bus, type BusState } from '../../core/cpu/index.ts'
import { engines } from '../core/cpu/engines.ts'
import {
  casesTogether,
  clear,
  fillBackground,
  found,
  load,
  pages,
  stepCases,
  strayWrites,
  wanted,
  type StepCase,
} from './step-cases.ts'

// Source: SingleStepTests/z80, ten cases for each of 1,604 opcodes (README beside the files). All agree, the disputed bits
// 3 and 5 after DD/FD 37 and 3F too: Q outlives a prefix here as it does there.

type PortAccess = readonly [port: number, byte: number, direction: 'r' | 'w', t: number]

/** The port accesses of a case with the T-state of their strobe. */
const portsOf = ({ cycles }: StepCase): readonly PortAccess[] =>
  cycles.flatMap(([address, data, pins], t): PortAccess[] => {
    if (pins[3] !== 'i') return []
    const isRead = pins[0] === 'r'
    return [[address, (isRead ? cycles[t + 1]?.[1] : data) ?? -1, isRead ? 'r' : 'w', 1000 + t]]
  })

describe.each(engines)('the %s', (_name, create) => {
  let running: StepCase | undefined
  let ports: PortAccess[] = []
  const bus: Bus = {
    readPort(port, t) {
      const byte = running?.ports?.find((each) => each[2] === 'r')?.[1] ?? -1
      ports.push([port, byte, 'r', t])
      return byte
    },
    writePort(port, byte, t) {
      ports.push([port, byte, 'w', t])
    },
    acknowledge: () => 0xff,
    watchedWrite() {},
  }
  const cpu = create(bus)

  const ways = {
    step: () => cpu.step(),
    run: () => {
      const start = cpu.tStates
      cpu.run(start + 1, false)
      return cpu.tStates - start
    },
  }
  const wayAndPage = pages.flatMap((page) => (['step', 'run'] as const).map((way) => [way, page] as const))

  // The WebAssembly interpreter has one function for either.
  test.each(wayAndPage)('does by %s every case of page %s as the data set says', (way, page) => {
    const cases = stepCases(page)
    expect(cases.length).toBeGreaterThan(500)
    fillBackground(cpu)
    for (const [i, each] of cases.entries()) {
      running = each
      ports = []
      load(cpu, each)
      const tStates = ways[way]()
      const result = { name: each.name, ...found(cpu, each), tStates, ports }
      expect(result).toEqual({ name: each.name, ...wanted(each), tStates: each.cycles.length, ports: portsOf(each) })
      clear(cpu, each)
      if (i % casesTogether === casesTogether - 1 || i === cases.length - 1)
        expect({ upTo: each.name, stray: strayWrites(cpu) }).toEqual({ upTo: each.name, stray: [] })
    }
  })

  test.each([0x0000, 0x7fff, 0xffff])('is seen through when it writes beside what a case says (%i)', (address) => {
    const cases = stepCases('base').slice(0, casesTogether)
    fillBackground(cpu)
    const seen = [0x00, 0xff, 0x5a].map((byte) => {
      for (const [i, each] of cases.entries()) {
        running = each
        load(cpu, each)
        cpu.step()
        const listed = [...each.initial.ram, ...each.final.ram].some(([at]) => at === address)
        clear(cpu, each)
        if (i === 20 && !listed) cpu.memory[address] = byte
      }
      const stray = strayWrites(cpu)
      fillBackground(cpu)
      return stray.length
    })
    // One of the three may be the byte that stands there already.
    expect(seen.filter((count) => count === 1).length).toBeGreaterThanOrEqual(2)
  })
})

describe('the bus', () => {
  let running: StepCase | undefined
  const cycles: (readonly [number, number | null, string])[] = []
  const bus: Bus = {
    readPort: () => running?.ports?.find((each) => each[2] === 'r')?.[1] ?? -1,
    writePort() {},
    acknowledge: () => 0xff,
    watchedWrite() {},
  }
  const cpu = createBusProbe(bus, ({ address, data, pins }: BusState) => cycles.push([address, data, pins]))

  test.each(pages)('shows address, data and pins of each T-state of page %s as the data set says', (page) => {
    fillBackground(cpu)
    for (const each of stepCases(page)) {
      running = each
      cycles.length = 0
      load(cpu, each)
      cpu.step()
      expect({ name: each.name, cycles }).toEqual({ name: each.name, cycles: each.cycles })
      clear(cpu, each)
    }
  })
})
