import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { grade } from '../../../core/grading/index.ts'
import { exerciseOf, folders, programOf } from '../exercise/tram-depot.ts'

/** Mistakes in one value or one kind of case, and the marks that such a program keeps at least. */
const nearlyRight: readonly (readonly [string, string, number])[] = [
  ['A1', 'wrong-digits-swapped.hex', 60],
  // Its loop runs over 03, which is INC BC: with FFh in C, which nothing has set, it goes round once more.
  ['A1', 'wrong-displacement-from-next.hex', 70],
  ['A2', 'wrong-one-too-far.asm', 70],
  ['A3', 'wrong-one-too-few.asm', 60],
  ['A3', 'wrong-segment-order.asm', 60],
  ['A3', 'wrong-no-paint.asm', 50],
  ['A4', 'wrong-no-carry.asm', 45],
  ['A4', 'wrong-sign-for-carry.asm', 60],
  ['A5', 'wrong-not-kept.asm', 80],
  ['A5', 'wrong-no-pop.asm', 70],
  ['A6', 'wrong-carry-lost.asm', 45],
  ['B1', 'wrong-zero-cars.asm', 70],
  ['B1', 'wrong-carry-lost.asm', 60],
  ['B1', 'wrong-slow.asm', 75],
  ['B2', 'wrong-decimal.hex', 80],
  ['B3', 'wrong-hundred-sweeps.asm', 70],
  ['B3', 'wrong-halt.asm', 60],
  ['B4', 'wrong-rounded.asm', 70],
  ['B4', 'wrong-no-push.asm', 70],
  ['B5', 'wrong-ties.asm', 60],
  ['B5', 'wrong-fifteen.asm', 70],
  ['B6', 'wrong-eleven-keys.asm', 45],
  ['C1', 'wrong-decimal-as-hex.asm', 75],
  ['C1', 'wrong-waves-for-edges.asm', 80],
  ['C1', 'wrong-left-high.asm', 90],
  ['C2', 'wrong-note-of-200.asm', 50],
  ['C2', 'wrong-buffer-run-through.asm', 45],
  ['C2', 'wrong-left-lit.asm', 80],
  ['C3', 'wrong-add-twice.asm', 55],
  ['C3', 'wrong-one-daa.asm', 50],
  ['C3', 'wrong-carry-cleared.asm', 75],
  ['C4', 'wrong-no-ring.asm', 55],
  ['C4', 'wrong-decimal-as-hex.asm', 80],
  ['C4', 'wrong-eleven-windows.asm', 75],
  ['C5', 'wrong-at-letting-go.asm', 75],
  ['C5', 'wrong-no-daa.asm', 60],
  ['C5', 'wrong-pause-for-bounce.asm', 55],
  ['C6', 'wrong-de-lost.asm', 90],
  ['C6', 'wrong-slow.asm', 40],
  // One instruction or one byte each.
  ['A2', 'wrong-no-halt.asm', 70],
  ['A2', 'wrong-bytes-swapped.asm', 60],
  ['A3', 'wrong-lddr-start.asm', 50],
  ['A4', 'wrong-adc-first.asm', 50],
  ['A6', 'wrong-high-first.asm', 50],
  ['B1', 'wrong-sum-not-cleared.asm', 50],
  ['B4', 'wrong-pop-missing.asm', 60],
  ['B6', 'wrong-count-lost.asm', 55],
  ['B6', 'wrong-eight-moved.asm', 50],
  ['B6', 'wrong-glyph-lost.asm', 50],
  ['C1', 'wrong-port.asm', 50],
  ['C1', 'wrong-a-spoiled.asm', 55],
  ['C3', 'wrong-high-first.asm', 50],
  ['C4', 'wrong-moves-right.asm', 50],
  ['C4', 'wrong-count-in-b.asm', 50],
  ['C4', 'wrong-count-not-reloaded.asm', 50],
  ['C5', 'wrong-held-counts-on.asm', 50],
  ['C5', 'wrong-not-cleared.asm', 50],
  ['C5', 'wrong-wrong-column.asm', 50],
  ['C6', 'wrong-add-before-double.asm', 60],
  ['C6', 'wrong-d-not-cleared.asm', 60],
  ['C6', 'wrong-seven-rounds.asm', 60],
  ['D1', 'wrong-directions.asm', 50],
  ['D2', 'wrong-no-daa.asm', 50],
  ['D2', 'wrong-no-ei.asm', 50],
  ['D3', 'wrong-decimal-as-hex.asm', 60],
  ['D3', 'wrong-fifteen-notes.asm', 80],
  ['D4', 'wrong-idle-keys-stop.asm', 50],
  ['D4', 'wrong-figures-swapped.asm', 50],
  ['D5', 'wrong-w-not-cleared.asm', 50],
  ['D5', 'wrong-places-from-zero.asm', 50],
  ['D6', 'wrong-no-daa.asm', 45],
]

describe('a nearly right program keeps the marks of what is right', () => {
  test.each(nearlyRight)('%s %s: at least %d', (folder, file, least) => {
    const { score } = grade(programOf(folder, file, 3), exerciseOf(folder), benchEight, { seed: 3 })
    expect(score).toBeGreaterThanOrEqual(least)
    expect(score).toBeLessThan(100)
  })
})

describe('a program that does nothing earns nothing', () => {
  test.each(folders)('%s', (folder) => {
    const exercise = exerciseOf(folder)
    // 76 is HALT, C9 is RET, 18 FE jumps to itself, AF clears A and the carry; B2 begins at 4040h.
    for (const bytes of ['76', 'C9', '18 FE', 'AF 76', 'AF C9']) {
      const text = folder === 'B2' && bytes === '18 FE' ? '4040: 00' : `${folder === 'B2' ? '4040: ' : ''}${bytes}`
      for (const seed of [1, 2]) {
        const report = grade({ format: 'hex', text }, exercise, benchEight, { seed })
        expect({ bytes, score: report.score }).toEqual({ bytes, score: 0 })
      }
    }
  })
})
