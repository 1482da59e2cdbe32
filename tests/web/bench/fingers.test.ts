import { describe, expect, test } from 'vitest'
import { Fingers } from '../../../web/bench/worker/fingers.ts'

/** Down at once, up after 30, the next down 20 after that. */
const fingers = () => new Fingers({ hold: 30, gap: 20 })
const moves = (from: Fingers, t: number) => from.due(t).map(({ key, isDown }) => `${key} ${isDown ? 'down' : 'up'}`)

describe('fingers on the keypad', () => {
  test('a quick tap stays down for as long as the board needs to see it', () => {
    const hand = fingers()
    hand.move('4', true)
    hand.move('4', false)
    expect(moves(hand, 100)).toEqual(['4 down'])
    expect(moves(hand, 129)).toEqual([])
    expect(moves(hand, 130)).toEqual(['4 up'])
  })

  test('a key typed before the last one came up waits until all have been up', () => {
    const hand = fingers()
    for (const key of ['4', '6']) {
      hand.move(key, true)
      hand.move(key, false)
    }
    expect(moves(hand, 0)).toEqual(['4 down'])
    expect(moves(hand, 30)).toEqual(['4 up'])
    expect(moves(hand, 49)).toEqual([])
    expect(moves(hand, 50)).toEqual(['6 down'])
    expect(moves(hand, 80)).toEqual(['6 up'])
  })

  test('two keys really held are down together', () => {
    const hand = fingers()
    hand.move('4', true)
    hand.move('6', true)
    expect(moves(hand, 0)).toEqual(['4 down', '6 down'])
  })

  test('a key held for long comes up at once', () => {
    const hand = fingers()
    hand.move('4', true)
    expect(moves(hand, 0)).toEqual(['4 down'])
    hand.move('4', false)
    expect(moves(hand, 500)).toEqual(['4 up'])
  })
})
