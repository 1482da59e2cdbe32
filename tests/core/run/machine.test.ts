import { describe, expect, test } from 'vitest'
import { benchEight, segmentsOf } from '../../../core/board/index.ts'
import { Machine } from '../../../core/run/index.ts'
import { request } from './programs.ts'

const ms = 2500

/** A machine with a program at 4000h, run from there. */
function started(text: string): Machine {
  const machine = new Machine(benchEight)
  machine.load(request(text).image)
  machine.setRegisters({ pc: 0x4000, sp: 0x4800 })
  return machine
}

/** The digits as an eye sees them, and the state of the first. */
const shown = (machine: Machine) =>
  machine
    .digitsNow()
    .map(({ glyph }) => glyph)
    .join('')

/** Press and release a key, as a finger does. */
function tap(machine: Machine, ...keys: string[]): void {
  for (const key of keys) {
    machine.press(key)
    machine.runUntil(machine.tStates + 60 * ms)
    machine.release(key)
    machine.runUntil(machine.tStates + 60 * ms)
  }
}

describe('the desk of the firmware', () => {
  test('after power-on it shows where programs are keyed in and what stands there', () => {
    const machine = new Machine(benchEight, { byte: 0xa5 })
    machine.runUntil(200 * ms)
    expect(shown(machine)).toBe('4000  A5')
    expect(
      machine.digitsNow().every(({ state }, digit) => state === ([4, 5].includes(digit) ? 'dark' : 'steady')),
    ).toBe(true)
    expect(machine.digitsNow()[3]?.segments).toBe((segmentsOf('0') ?? 0) | 0x80)
  })

  test('a program is keyed in byte by byte and run, and its RET comes back', () => {
    const machine = new Machine(benchEight)
    machine.runUntil(200 * ms)
    tap(
      machine,
      'BYTE',
      '3',
      'E',
      'NEXT',
      '4',
      '2',
      'NEXT',
      '3',
      '2',
      'NEXT',
      '0',
      '0',
      'NEXT',
      '4',
      '6',
      'NEXT',
      'C',
      '9',
    )
    expect([...machine.memory.slice(0x4000, 0x4006)]).toEqual([0x3e, 0x42, 0x32, 0x00, 0x46, 0xc9])
    tap(machine, 'PLACE', '4', '0', '0', '0', 'RUN')
    expect(machine.memory[0x4600]).toBe(0x42)
    expect(shown(machine)).toBe('4000  3E')
    tap(machine, '4', '6', '0', '0')
    expect(shown(machine)).toBe('4600  42')
    tap(machine, 'BACK', 'NEXT', 'NEXT')
    expect(shown(machine)).toBe('4601  00')
  })

  test('a key held down counts once', () => {
    const machine = new Machine(benchEight)
    machine.runUntil(200 * ms)
    machine.press('7')
    machine.runUntil(machine.tStates + 2000 * ms)
    machine.release('7')
    machine.runUntil(machine.tStates + 100 * ms)
    expect(shown(machine)).toBe(
      '0007  FF'.replace('FF', machine.memory[7]?.toString(16).toUpperCase().padStart(2, '0') ?? ''),
    )
  })

  test('what it makes ready before a program starts is what the profile says', () => {
    const machine = new Machine(benchEight, { byte: 0xee })
    machine.runUntil(200 * ms)
    for (const { at, hex } of benchEight.firmware.ready)
      expect(Buffer.from(machine.memory.slice(at, at + hex.length / 2)).toString('hex')).toBe(hex)
    machine.setBreakpoints([0x4000])
    machine.press('RUN')
    expect(machine.runUntil(machine.tStates + 200 * ms)).toBe('breakpoint')
    const { sp, pc, im, iff1 } = machine.registers()
    expect({ sp, pc, im, iff1 }).toEqual({ sp: 0x47fe, pc: 0x4000, im: benchEight.timer?.interruptMode, iff1: false })
    expect((machine.memory[0x47fe] ?? 0) | ((machine.memory[0x47ff] ?? 0) << 8)).toBe(benchEight.firmware.returnTo)
  })
})

describe('the machine on the bench', () => {
  test('reset starts over, darkens the display and keeps RAM and time', () => {
    const machine = started('LD A,7FH | OUT (20H),A | LD A,1 | OUT (21H),A | LD (4600H),A | HALT')
    machine.runUntil(100 * ms)
    expect(shown(machine)).toBe('8       ')
    machine.reset()
    expect([machine.registers().pc, machine.memory[0x4600], machine.tStates >= 100 * ms]).toEqual([0, 1, true])
    machine.setRegisters({ pc: 0x4005 + 5 })
    machine.runUntil(machine.tStates + 100 * ms)
    expect(shown(machine)).toBe('        ')
  })

  test('power-on clears RAM and time', () => {
    const machine = started('LD A,1 | LD (4600H),A | HALT')
    machine.runUntil(100 * ms)
    machine.powerOn({ byte: 0x33 })
    expect([machine.memory[0x4600], machine.tStates, machine.steps, machine.events.length]).toEqual([0x33, 0, 0, 0])
  })

  test('breakpoints stop before their instruction, and the next run goes past', () => {
    const machine = started('LOOP: INC A | NOP | JR LOOP')
    machine.setRegisters({ af: 0 })
    machine.setBreakpoints([0x4001])
    for (const a of [1, 2, 3]) {
      expect(machine.runUntil(machine.tStates + 1000)).toBe('breakpoint')
      expect([machine.registers().pc, machine.registers().af >> 8]).toEqual([0x4001, a])
    }
    machine.setBreakpoints([])
    expect(machine.runUntil(machine.tStates + 1000)).toBe('limit')
  })

  test('steps are single instructions', () => {
    const machine = started('LD A,1 | LD B,2 | HALT')
    expect([machine.step(), machine.registers().pc, machine.step(), machine.registers().bc >> 8]).toEqual([
      7, 0x4002, 7, 2,
    ])
  })

  test('a limit that is no whole number is the next one that is', () => {
    const machine = started('LOOP: NOP | JR LOOP')
    expect(machine.advance(100.5, false)).toBe('limit')
    expect(machine.tStates).toBe(112)
    expect(machine.runUntil(112.5)).toBe('limit')
    expect(machine.tStates).toBe(116)
  })

  test('a halted CPU lets the time go by', () => {
    const machine = started('HALT')
    expect(machine.runUntil(1_000_000)).toBe('limit')
    expect([machine.registers().isHalted, machine.tStates >= 1_000_000]).toEqual([true, true])
  })

  test('events are taken once each, whatever is forgotten meanwhile', () => {
    const machine = started('LD A,1 | OUT (21H),A | LD A,6 | OUT (20H),A | LOOP: INC A | OUT (22H),A | JR LOOP')
    const taken: number[] = []
    for (let k = 1; k <= 40; k++) {
      machine.runUntil(k * 100 * ms)
      for (const { t } of machine.takeEvents()) taken.push(t)
      machine.forgetOlderThan(200 * ms)
    }
    const all = started('LD A,1 | OUT (21H),A | LD A,6 | OUT (20H),A | LOOP: INC A | OUT (22H),A | JR LOOP')
    all.runUntil(4000 * ms)
    expect(taken.length).toBe(all.events.length)
    expect(machine.events.length).toBeLessThan(all.events.length / 10)
    expect(shown(machine)).toBe('1       ')
  })

  test('keys, switches and lamps', () => {
    const machine = started('LD A,4 | OUT (21H),A | LOOP: IN A,(23H) | LD B,A | IN A,(25H) | OUT (24H),A | JR LOOP')
    machine.setSwitches(0x81)
    machine.press('A')
    machine.runUntil(1000)
    expect([machine.registers().bc >> 8, machine.board.lamps, machine.keysDown()]).toEqual([2, 0x81, ['A']])
    machine.release('A')
    machine.runUntil(2000)
    expect([machine.registers().bc >> 8, machine.keysDown()]).toEqual([0, []])
  })

  test('a saved state comes back, and goes on as it did the first time', () => {
    const machine = new Machine(benchEight, { seed: 9 })
    machine.setTimer(true)
    machine.runUntil(300 * ms)
    const state = machine.saveState()
    const goOn = () => {
      tap(machine, '1', 'NEXT', '5')
      return { state: machine.saveState(), events: machine.events.toArray() }
    }
    const first = goOn()
    tap(machine, '8', '8')
    machine.restoreState(state)
    expect(goOn()).toEqual(first)
  })
})
