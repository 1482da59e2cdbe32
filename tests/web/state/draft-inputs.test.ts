import { expect, test } from 'vitest'
import { DraftInputs } from '../../../web/state/DraftInputs.svelte.ts'

test('what stands as on the bare board is left out', () => {
  const inputs = new DraftInputs()
  expect(inputs.given).toEqual({})
  inputs.setTimer(false)
  inputs.setSwitches(0x101)
  expect(inputs.given).toEqual({ timer: false, switches: 1 })
})
test('each new key comes half a second after the one before was let go', () => {
  const inputs = new DraftInputs()
  inputs.addKey('0')
  inputs.setKey(0, { at: '2 s', for: '250 ms', bounce: '5 ms' })
  inputs.addKey('STOP')
  expect(inputs.given).toEqual({
    keys: [
      { key: '0', at: '2 s', for: '250 ms', bounce: '5 ms' },
      { key: 'STOP', at: '2750 ms', for: '100 ms' },
    ],
  })
})
test('a time without a unit is told, and nothing is ready', () => {
  const inputs = new DraftInputs()
  inputs.addKey('0')
  expect(inputs.isReady).toBe(true)
  inputs.setKey(0, { at: '300' })
  expect(inputs.errors).toEqual(['Found ‘300’, wanted a time as in 800 ms or 2 s.'])
  expect(inputs.isReady).toBe(false)
  inputs.removeKey(0)
  inputs.ending = 'runs-on'
  inputs.lasts = 'long'
  expect(inputs.isReady).toBe(false)
})
test('each new move comes half a second after the one before, and begins with the switches as they stand', () => {
  const inputs = new DraftInputs()
  inputs.setSwitches(1)
  inputs.addMove()
  inputs.setMove(0, { at: '2 s', to: 0x81 })
  inputs.addMove()
  expect(inputs.given).toEqual({
    switches: 1,
    switchMoves: [
      { at: '2 s', to: 0x81 },
      { at: '2500 ms', to: 0x81 },
    ],
  })
  inputs.setMove(1, { at: 'soon' })
  expect([inputs.moveErrors, inputs.isReady]).toEqual([
    [null, 'Found ‘soon’, wanted a time as in 800 ms or 2 s.'],
    false,
  ])
  inputs.removeMove(1)
  expect(inputs.isReady).toBe(true)
})
