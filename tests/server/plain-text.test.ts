import { expect, test } from 'vitest'
import { strangeCharacter, strangePlaces } from '../../server/plain-text.ts'

// Bidirectional controls: Unicode Standard Annex 9, table 4; control characters: ISO/IEC 6429.
test.each([
  ['a\u0000b', true, 'a control character (U+0000) at position 2'],
  ['\u001b[2J', false, 'a control character (U+001B) at position 1'],
  ['\u0085', false, 'a control character (U+0085) at position 1'],
  ['Sam\u202Ecod', true, 'a character that turns the direction of writing (U+202E) at position 4'],
  ['a\u2067', false, 'a character that turns the direction of writing (U+2067) at position 2'],
  ['Sam\u200B', true, 'a character without width (U+200B) at position 4'],
  ['\uD800', true, 'half a character (U+D800) at position 1'],
  ['one\ntwo', true, 'a tab or a new line (U+000A) at position 4'],
  ['one\r\n\ttwo', false, null],
  ['\uFEFFformat: x', false, null],
  ['\uFEFFSam', true, 'a character without width (U+FEFF) at position 1'],
  ['Sam\u200F', true, 'a character that turns the direction of writing (U+200F) at position 4'],
  ['Sam\u200D', true, 'a character without width (U+200D) at position 4'],
  ['S\u200Cam', true, 'a character without width (U+200C) at position 2'],
  ['Sa\u00ADm', false, 'a character without width (U+00AD) at position 3'],
  ['\u3164', true, 'a character without width (U+3164) at position 1'],
  ['a\u{E0041}', false, 'a character without width (U+E0041) at position 2'],
  ['Nguyễn Thị Hà · 李雷 · می‌خواهم · 👩‍🔧 · العربية · क्‍ष', true, null],
])('%j (one line: %s) holds %j', (text, isOneLine, found) => {
  expect(strangeCharacter(text, isOneLine)).toBe(found)
})

test('what holds too much in itself is refused and overflows nothing', () => {
  const deep: unknown = JSON.parse('['.repeat(200_000) + ']'.repeat(200_000))
  expect(strangePlaces(deep, { isOneLine: true })).toEqual([
    { path: [], found: 'lists and groups more than 32 deep in each other' },
  ])
})

test('a strange field is told with its place, at most twenty of them', () => {
  const held = { a: { 'b/c': ['x', '\u0007'] }, text: 'one\ntwo' }
  expect(strangePlaces(held, { isOneLine: true })).toEqual([
    { path: ['a', 'b/c', '1'], found: 'a control character (U+0007) at position 1' },
  ])
  expect(
    strangePlaces(
      Array.from({ length: 50 }, () => '\0'),
      { isOneLine: true },
    ),
  ).toHaveLength(20)
})
