import { describe, expect, test } from 'vitest'
import { Arrangement, type SizedPanel } from '../../../web/trace/model/Arrangement.svelte.ts'

function storeWith(text: string | null = null) {
  let kept = text
  return { getItem: () => kept, setItem: (_: string, value: string) => void (kept = value) }
}
const panels: readonly SizedPanel[] = ['axis', 'side', 'registers', 'more']

describe('the sizes of the panels', () => {
  test('are kept for the next time, in the same browser', () => {
    const store = storeWith()
    const first = new Arrangement(store)
    first.measure(1256, 600)
    first.resize('side', 400)
    first.resize('axis', 180)
    const next = new Arrangement(store)
    next.measure(1256, 600)
    expect([next.size('side'), next.size('axis')]).toEqual([400, 180])
  })

  test('go back to the usual', () => {
    const arrangement = new Arrangement(storeWith())
    arrangement.measure(1256, 600)
    const usual = arrangement.size('registers')
    arrangement.resize('registers', usual + 60)
    expect(arrangement.size('registers')).toBe(usual + 60)
    arrangement.reset('registers')
    expect(arrangement.size('registers')).toBe(usual)
  })

  test.each([
    [1256, 600],
    [936, 460],
    [1896, 880],
  ])('leave room for the listing in a window of %i by %i, whatever is wished for', (wide, high) => {
    for (const wish of [0, 5000]) {
      const arrangement = new Arrangement(storeWith())
      arrangement.measure(wide, high)
      for (const panel of panels) arrangement.resize(panel, wish)
      const more = arrangement.hasMore ? arrangement.size('more') : 0
      const listing = wide - arrangement.size('side') - arrangement.size('registers') - more
      expect(listing).toBeGreaterThanOrEqual(300)
      expect(high - arrangement.size('axis')).toBeGreaterThanOrEqual(270)
    }
  })

  test('what was chosen in a large window comes back when the window is large again', () => {
    const arrangement = new Arrangement(storeWith())
    arrangement.measure(1896, 900)
    arrangement.resize('axis', 500)
    arrangement.measure(1256, 560)
    expect(arrangement.size('axis')).toBeLessThan(300)
    arrangement.measure(1896, 900)
    expect(arrangement.size('axis')).toBe(500)
  })

  test('memory and stack have a column of their own only where there is width for it', () => {
    const arrangement = new Arrangement()
    arrangement.measure(1256, 600)
    expect(arrangement.hasMore).toBe(false)
    arrangement.measure(1896, 900)
    expect(arrangement.hasMore).toBe(true)
  })

  test.each(['no JSON', '7', 'null', '{"axis":"wide","side":-3,"registers":1e999}'])(
    'a store that holds %s is no store',
    (text) => {
      const [odd, fresh] = [new Arrangement(storeWith(text)), new Arrangement()]
      for (const panel of panels) expect(odd.size(panel)).toBe(fresh.size(panel))
    },
  )
})
