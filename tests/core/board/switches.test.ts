import { expect, test } from 'vitest'
import { Board, EventLog, benchEight } from '../../../core/board/index.ts'
import { Switches } from '../../../core/board/switches.ts'

/** How they stand at each T-state given. */
function valuesAt(switches: Switches, times: readonly number[]): number[] {
  return times.map((t) => {
    switches.catchUp(t, null)
    return switches.value
  })
}

test('a move holds from its T-state on, in the order of the times', () => {
  const switches = new Switches()
  switches.put(1)
  switches.schedule([
    { at: 200, value: 4 },
    { at: 100, value: 2 },
  ])
  expect(switches.nextChange).toBe(100)
  expect(valuesAt(switches, [99, 100, 199, 200])).toEqual([1, 2, 2, 4])
  expect(switches.nextChange).toBe(Infinity)
})

test('of two moves at once the later one of the list holds, and both are told', () => {
  const log = new EventLog()
  const switches = new Switches()
  switches.schedule([
    { at: 5, value: 1 },
    { at: 5, value: 3 },
  ])
  switches.catchUp(5, log)
  expect(switches.value).toBe(3)
  expect(log.toArray().map((event) => event.kind === 'switches' && event.value)).toEqual([1, 3])
})

test('a saved state goes on in the same way', () => {
  const switches = new Switches()
  switches.schedule([{ at: 50, value: 9 }])
  const state = switches.save()
  expect(valuesAt(switches, [60])).toEqual([9])
  switches.restore(state)
  expect(valuesAt(switches, [49, 50])).toEqual([0, 9])
})

test('keys and switches that moved while nobody looked are told in the order of their times', () => {
  const board = new Board(benchEight)
  const log = new EventLog()
  board.log = log
  board.switches.schedule([
    { at: 10, value: 1 },
    { at: 30, value: 0 },
  ])
  board.keypad.schedule([{ key: '7', from: 20, to: 40 }])
  board.catchUp(100)
  expect(log.toArray().map(({ kind, t }) => `${kind} ${t}`)).toEqual(['switches 10', 'key 20', 'switches 30', 'key 40'])
})

test('off again after a power cut, with nothing to come', () => {
  const board = new Board(benchEight)
  board.switches.schedule([{ at: 10, value: 1 }])
  board.switches.put(7)
  board.powerOn()
  expect([board.switches.value, board.nextInput]).toEqual([0, Infinity])
})
