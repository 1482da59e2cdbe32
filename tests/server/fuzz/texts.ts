import fc from 'fast-check'

/** What a hand-in may have at most, in bytes; larger texts never reach a parser. */
export const largestText = 65_536

/** Characters and words at which parsers have been known to stumble, whatever they read. */
const strange = [
  ...['', '\0', '\uFEFF', '\u202E', '\uD800', '\r', '\n\n', '\t', ' '.repeat(200), "'", '"', '\\', '#', ';', '%00'],
  ...[
    '0',
    '-1',
    '65536',
    '4294967296',
    '1e308',
    '99999999999999999999',
    'NaN',
    '0x',
    '$',
    '(',
    ')))',
    '{',
    '[',
    ']',
    ',',
  ],
  ...[
    '__proto__',
    'constructor',
    'toString',
    'null',
    '*',
    '&',
    '<<',
    ':',
    '::',
    ':00000001FF',
    '&a [*a]',
    '\u0131',
    'é',
  ],
]

type Edit = (text: string) => string

function at(text: string, where: number): number {
  return Math.floor(where * (text.length + 1))
}

/** One change as a slip, a broken file or an attacker makes it. */
function anyEdit(words: readonly string[]): fc.Arbitrary<Edit> {
  const place = fc.double({ min: 0, max: 0.9999, noNaN: true })
  const length = fc.integer({ min: 1, max: 40 })
  const word = fc.constantFrom(...strange, ...words)
  return fc.oneof(
    fc.tuple(place, word).map(([where, each]): Edit => (text) => {
      const i = at(text, where)
      return text.slice(0, i) + each + text.slice(i)
    }),
    fc.tuple(place, length).map(([where, count]): Edit => (text) => {
      const i = at(text, where)
      return text.slice(0, i) + text.slice(i + count)
    }),
    fc.tuple(place, fc.integer({ min: 0, max: 0xffff })).map(([where, code]): Edit => (text) => {
      const i = at(text, where)
      return text.slice(0, i) + String.fromCharCode(code) + text.slice(i + 1)
    }),
    fc.tuple(place, place, length).map(([from, to, count]): Edit => (text) => {
      const part = text.slice(at(text, from), at(text, from) + count)
      return text.slice(0, at(text, to)) + part + text.slice(at(text, to))
    }),
  )
}

/** Right texts with some changes; now and then one of nothing but a word, as often as there is room for it. */
export function anyText(right: readonly string[], words: readonly string[]): fc.Arbitrary<string> {
  const changed = fc
    .tuple(fc.constantFrom(...right), fc.array(anyEdit(words), { maxLength: 6 }))
    .map(([text, edits]) => edits.reduce((each, edit) => edit(each), text))
  const repeated = fc
    .tuple(
      fc.array(fc.constantFrom(...words, ...strange), { minLength: 1, maxLength: 4 }),
      fc.constantFrom(100, largestText),
    )
    .map(([parts, size]) => {
      const part = parts.join('')
      return part.repeat(Math.ceil(size / Math.max(part.length, 1))).slice(0, size)
    })
  const junk = fc.string({ unit: 'binary', maxLength: 300 })
  return fc.oneof({ arbitrary: changed, weight: 8 }, { arbitrary: repeated, weight: 2 }, { arbitrary: junk, weight: 1 })
}
