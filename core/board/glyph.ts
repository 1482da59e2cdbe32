import type { Byte } from '../cpu/index.ts'

// Common practice on seven segments, no standard: bit 0 = a (top), clockwise b to f, bit 6 = g (middle).
// Where two signs share a pattern the figure wins: 5 for S, 0 for O, 1 for I, B for a 6 without its top bar.
const patterns: readonly (readonly [glyph: string, ...patterns: number[]])[] = [
  ['0', 0x3f],
  ['1', 0x06, 0x30],
  ['2', 0x5b],
  ['3', 0x4f],
  ['4', 0x66],
  ['5', 0x6d],
  ['6', 0x7d],
  ['7', 0x07, 0x27],
  ['8', 0x7f],
  ['9', 0x6f, 0x67],
  ['A', 0x77],
  ['B', 0x7c],
  ['C', 0x39, 0x58],
  ['D', 0x5e],
  ['E', 0x79],
  ['F', 0x71],
  ['G', 0x3d],
  ['H', 0x76, 0x74],
  ['J', 0x1e, 0x0e],
  ['L', 0x38],
  ['N', 0x54, 0x37],
  ['O', 0x5c],
  ['P', 0x73],
  ['R', 0x50],
  ['T', 0x78],
  ['U', 0x3e, 0x1c],
  ['Y', 0x6e],
  ['-', 0x40],
  ['=', 0x48],
  ['_', 0x08],
  ['.', 0x80],
  [' ', 0x00],
]

const glyphs = new Map(patterns.flatMap(([glyph, ...forms]) => forms.map((form) => [form, glyph] as const)))
const forms = new Map(patterns.map(([glyph, form]) => [glyph, form] as const))
const sameForm = new Map([
  ['S', '5'],
  ['I', '1'],
])

/** The sign that a pattern of segments shows, the point left out of account; `?` for a pattern without a name. */
export function glyphOf(segments: Byte): string {
  return glyphs.get(segments) ?? glyphs.get(segments & 0x7f) ?? '?'
}

/** The pattern for a sign, small or capital letter alike; null where seven segments have none. */
export function segmentsOf(glyph: string): Byte | null {
  const capital = glyph.toUpperCase()
  return forms.get(sameForm.get(capital) ?? capital) ?? null
}
