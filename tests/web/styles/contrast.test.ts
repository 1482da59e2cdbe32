import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'

/** Contrast ratio of two colours as WCAG 2.2 defines it (relative luminance of sRGB; formula from memory). */
function ratio(one: string, other: string): number {
  const [low, high] = [luminance(one), luminance(other)].sort((a, b) => a - b) as [number, number]
  return (high + 0.05) / (low + 0.05)
}

function luminance(hex: string): number {
  const [r, g, b] = [1, 3, 5].map((at) => {
    const channel = parseInt(hex.slice(at, at + 2), 16) / 255
    return channel <= 0.04045 ? channel / 12.92 : ((channel + 0.055) / 1.055) ** 2.4
  }) as [number, number, number]
  return 0.2126 * r + 0.7152 * g + 0.0722 * b
}

function tokens(): Map<string, readonly [light: string, dark: string]> {
  const css = readFileSync(new URL('../../../web/styles/colour.css', import.meta.url), 'utf8')
  const found = new Map<string, readonly [string, string]>()
  const pattern = /--([a-z-]+):\s*(?:light-dark\((#[0-9a-f]{6}), (#[0-9a-f]{6})\)|(#[0-9a-f]{6}));/g
  for (const [, name = '', light, dark, both] of css.matchAll(pattern))
    found.set(name, [light ?? both ?? '', dark ?? both ?? ''])
  return found
}

const grounds = ['ground', 'panel', 'well', 'accent-wash', 'pass-wash', 'fail-wash', 'wait-wash', 'changed']
const texts = ['ink', 'soft', 'accent', 'accent-strong', 'pass', 'fail', 'wait']
const all = tokens()

const pairs: readonly [front: string, back: string, least: number][] = [
  ...texts.flatMap((text) => grounds.map((ground): [string, string, number] => [text, ground, 4.5])),
  ...['ground', 'panel', 'well'].flatMap((ground): [string, string, number][] => [
    ['edge', ground, 3],
    ['focus', ground, 3],
  ]),
  ['accent-ink', 'accent', 4.5],
  ['accent-ink', 'accent-strong', 4.5],
  ['lit', 'glass', 3],
  ['lit', 'unlit', 3],
  ['glass-ink', 'glass', 4.5],
]

test('the formula gives 21 for black on white and 1 for a colour on itself', () => {
  expect(ratio('#000000', '#ffffff')).toBeCloseTo(21, 5)
  expect(ratio('#146657', '#146657')).toBe(1)
})

// WCAG 2.2: 1.4.3 text at least 4.5:1, 1.4.11 controls and pictures at least 3:1.
describe.each([
  ['light', 0],
  ['dark', 1],
] as const)('%s', (_, mode) => {
  test.each(pairs)('%s on %s is at least %f:1', (front, back, least) => {
    const [over, under] = [all.get(front)?.[mode], all.get(back)?.[mode]]
    if (over === undefined || under === undefined) throw new Error(`no token ${over === undefined ? front : back}`)
    expect(ratio(over, under)).toBeGreaterThanOrEqual(least)
  })
})
