import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { Machine } from '../../../core/run/index.ts'
import { request } from './programs.ts'
import { ms, shown, tap } from './fingers.ts'

/** A machine with a program at 4000h, run from there. */
function started(text: string): Machine {
  const machine = new Machine(benchEight)
  machine.load(request(text).image)
  machine.setRegisters({ pc: 0x4000, sp: 0x4800 })
  return machine
}

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
      tap(machine, '1', 'RIGHT', '5')
      return { state: machine.saveState(), events: machine.events.toArray() }
    }
    const first = goOn()
    tap(machine, '8', '8')
    machine.restoreState(state)
    expect(goOn()).toEqual(first)
  })
})
