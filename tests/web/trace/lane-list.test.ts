import { describe, expect, test } from 'vitest'
import type { Lane } from '../../../web/trace/model/lane.ts'
import { LaneList } from '../../../web/trace/model/LaneList.svelte.ts'
import { type LaneWish, readWish, wishId } from '../../../web/trace/model/lane-wish.ts'
import { RunsBuilder } from '../../../web/trace/model/runs.ts'

function storeOf(text: string | null = null) {
  const kept = { text }
  return {
    kept,
    getItem: () => kept.text,
    setItem: (_: string, value: string) => void (kept.text = value),
  }
}

const runs = new RunsBuilder().finish(10)
const lane = (id: string): Lane => ({ kind: 'value', id, title: id, runs, digits: 2 })
const digit = (at: number): Lane => ({ kind: 'digit', id: `digit-${at}`, title: '', runs, looks: [] })
const lanes = [digit(0), digit(1), lane('speaker'), lane('place'), lane('select'), lane('register-HL')]
const drawn = (list: LaneList) => list.arranged(lanes).map(({ id }) => id)

describe('the list of lanes', () => {
  test('at first draws what every run has, but not which digit is selected', () => {
    expect(drawn(new LaneList(null))).toEqual(['digit-0', 'digit-1', 'speaker', 'place'])
  })

  test('turns a lane on and off', () => {
    const list = new LaneList(null)
    list.turn('select')
    list.turn('digits')
    expect(drawn(list)).toEqual(['select', 'speaker', 'place'])
  })

  test('moves a lane, no further than the ends', () => {
    const list = new LaneList(null)
    for (let i = 0; i < 20; i += 1) list.move('speaker', -1)
    expect(drawn(list)).toEqual(['speaker', 'digit-0', 'digit-1', 'place'])
    for (let i = 0; i < 20; i += 1) list.move('speaker', 1)
    expect(drawn(list)).toEqual(['digit-0', 'digit-1', 'place', 'speaker'])
  })

  test('takes a register, draws it below the others, and gives it up again', () => {
    const list = new LaneList(null)
    expect(list.add({ kind: 'register', name: 'HL' })).toBe(true)
    expect(drawn(list).at(-1)).toBe('register-HL')
    list.remove('register-HL')
    expect(drawn(list)).not.toContain('register-HL')
  })

  test('a lane asked for twice stands once, and is on', () => {
    const list = new LaneList(null)
    list.add({ kind: 'memory', address: 0x4600 })
    list.turn('memory-4600')
    expect(list.add({ kind: 'memory', address: 0x4600 })).toBe(false)
    expect(list.entries.filter(({ id }) => id === 'memory-4600')).toEqual([
      { id: 'memory-4600', title: 'Byte 4600', isOn: true, wish: { kind: 'memory', address: 0x4600 } },
    ])
  })

  test('takes sixteen more and no seventeenth', () => {
    const list = new LaneList(null)
    for (let address = 0; address < 17; address += 1) list.add({ kind: 'memory', address })
    expect([list.wishes.length, list.isFull]).toEqual([16, true])
  })

  test('a lane that every run has cannot be taken away', () => {
    const list = new LaneList(null)
    list.remove('speaker')
    expect(drawn(list)).toContain('speaker')
  })

  test('is the same the next time', () => {
    const store = storeOf()
    const list = new LaneList(store)
    list.add({ kind: 'written', port: 0x22 })
    list.move('speaker', -1)
    list.turn('keys')
    expect(new LaneList(store).entries).toEqual(list.entries)
  })

  test('what was kept by another version is read as far as it is known', () => {
    const list = new LaneList(storeOf('speaker -place nonsense register-HL register-ZZ memory-46 speaker'))
    expect(list.entries.slice(0, 3).map(({ id, isOn }) => [id, isOn])).toEqual([
      ['speaker', true],
      ['place', false],
      ['register-HL', true],
    ])
    expect(list.entries).toHaveLength(11)
  })

  test('a browser that keeps nothing does no harm', () => {
    const list = new LaneList({
      getItem: () => {
        throw new Error('denied')
      },
      setItem: () => {
        throw new Error('denied')
      },
    })
    list.turn('keys')
    expect(list.entries.find(({ id }) => id === 'keys')?.isOn).toBe(false)
  })
})

describe('the name of a lane that was asked for', () => {
  test.each<LaneWish>([
    { kind: 'register', name: 'HL' },
    { kind: 'memory', address: 0x46ff },
    { kind: 'written', port: 0x20 },
    { kind: 'read', port: 0x0a },
  ])('$kind is read back', (wish) => {
    expect(readWish(wishId(wish))).toEqual(wish)
  })

  test.each(['register-', 'register-XY', 'memory-46', 'written-123', 'read-G0', 'speaker', ''])('%j is none', (id) => {
    expect(readWish(id)).toBeNull()
  })
})
