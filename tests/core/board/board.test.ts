import { describe, expect, test } from 'vitest'
import { benchEight, Board, EventLog, type BoardProfile } from '../../../core/board/index.ts'
import { sixLamps } from './six-lamps.ts'

/** A board with a log, and the level of its INT pin as last set. */
function boardOf(profile: BoardProfile) {
  const board = new Board(profile)
  const pin = { isActive: false }
  board.log = new EventLog()
  board.setLine = (isActive) => (pin.isActive = isActive)
  board.instructionAddress = () => 0x4010
  return { board, log: board.log, pin }
}

describe('the ports', () => {
  test('a port that nothing drives reads FFh, and so do outputs', () => {
    const { board } = boardOf(benchEight)
    expect([0x00, 0x20, 0x21, 0x22, 0x24, 0x99].map((port) => board.readPort(port, 0))).toEqual(Array(6).fill(0xff))
  })

  test('only the low half of the address counts', () => {
    const { board, log } = boardOf(benchEight)
    board.writePort(0x7f22, 1, 5)
    expect(log.toArray()).toEqual([
      { kind: 'port-write', t: 5, pc: 0x4010, port: 0x22, value: 1 },
      { kind: 'speaker-edge', t: 5, pc: 0x4010, level: 1 },
    ])
  })

  test('the cone moves only when its own bit changes', () => {
    const { board, log } = boardOf(benchEight)
    for (const [t, value] of [0xfe, 0x01, 0xff, 0x03, 0x02, 0x00].entries()) board.writePort(0x22, value, t)
    expect(log.filter(({ kind }) => kind === 'speaker-edge').map(({ t }) => t)).toEqual([1, 4])
  })

  test('keys are read in the selected column, at the time of the reading', () => {
    const { board } = boardOf(benchEight)
    board.keypad.schedule([{ key: 'B', from: 100, to: 200 }])
    board.writePort(0x21, 0x08, 0)
    expect([50, 100, 199, 200].map((t) => board.readPort(0x23, t))).toEqual([0, 2, 2, 0])
    board.writePort(0x21, 0x04, 201)
    expect(board.readPort(0x23, 202)).toBe(0)
  })

  test('switches read as they are set, lamps hold what was written', () => {
    const { board } = boardOf(benchEight)
    board.switches.put(0xa5)
    board.writePort(0x24, 0x3c, 0)
    expect([board.readPort(0x25, 1), board.lamps]).toEqual([0xa5, 0x3c])
  })

  test('keys and switches may share a port', () => {
    const { board } = boardOf(sixLamps)
    board.keypad.set('A', true, 0)
    board.writePort(0x81, 0xdf, 0)
    expect(board.readPort(0x82, 1)).toBe(0x3e)
    board.switches.put(0xff)
    expect(board.readPort(0x82, 2)).toBe(0xfe)
  })

  test('reset darkens the outputs and keeps switches and keys', () => {
    const { board, pin } = boardOf(benchEight)
    board.switches.put(7)
    board.keypad.set('0', true, 0)
    board.writePort(0x20, 0xff, 0)
    board.writePort(0x24, 0xff, 0)
    board.setTimer(true, 0)
    board.tickUpTo(25_000)
    board.reset()
    expect(board.save()).toMatchObject({ segments: 0, select: 0, speaker: 0, lamps: 0, switches: { value: 7 } })
    expect([board.keypad.down(), board.isTimerOn, pin.isActive]).toEqual([['0'], true, false])
  })
})

describe('the timer', () => {
  test('ticks a hundred times a second, and its request waits until it is acknowledged', () => {
    const { board, pin, log } = boardOf(benchEight)
    board.setTimer(true, 0)
    expect(board.nextTick).toBe(25_000)
    board.tickUpTo(24_999)
    expect(pin.isActive).toBe(false)
    board.tickUpTo(25_000)
    expect(pin.isActive).toBe(true)
    expect(board.acknowledge(25_040)).toBe(0xff)
    expect(pin.isActive).toBe(false)
    expect(log.toArray()).toEqual([{ kind: 'interrupt', t: 25_040, pc: 0x4010 }])
  })

  test('a tick while the last request still waits is lost', () => {
    const { board, log } = boardOf(benchEight)
    board.setTimer(true, 0)
    board.tickUpTo(80_000)
    expect(log.toArray()).toEqual([
      { kind: 'interrupt-lost', t: 50_000 },
      { kind: 'interrupt-lost', t: 75_000 },
    ])
  })

  test('off, it never ticks; on again, it keeps its phase', () => {
    const { board } = boardOf(benchEight)
    expect(board.nextTick).toBe(Infinity)
    board.setTimer(true, 60_000)
    expect(board.nextTick).toBe(75_000)
  })

  test('a period that is no whole number of T-states does not drift', () => {
    const board = new Board({ ...benchEight, timer: { hz: 60, startsOn: true, interruptMode: 1 } })
    const ticks: number[] = []
    for (let k = 0; k < 60; k++) {
      ticks.push(board.nextTick)
      board.tickUpTo(board.nextTick)
    }
    expect([ticks[0], ticks[59]]).toEqual([41_667, 2_500_000])
  })

  test('saved and put back, the board goes on alike', () => {
    const { board } = boardOf(benchEight)
    board.setTimer(true, 0)
    board.writePort(0x21, 0x80, 5)
    board.tickUpTo(25_000)
    const state = board.save()
    const { board: other, pin } = boardOf(benchEight)
    other.restore(state)
    expect(other.save()).toEqual(state)
    expect([pin.isActive, other.nextTick, other.outputs()]).toEqual([true, 50_000, board.outputs()])
  })
})
