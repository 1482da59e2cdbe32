import { describe, expect, test } from 'vitest'
import { drawAxis } from '../../../web/trace/axis/draw.ts'
import { layOut } from '../../../web/trace/axis/lay-out.ts'
import { SvgPen } from '../../../web/trace/axis/pen.ts'
import { svgOf } from '../../../web/trace/axis/picture.ts'
import type { Palette } from '../../../web/trace/axis/palette.ts'
import type { Lane } from '../../../web/trace/model/lane.ts'
import { RunsBuilder } from '../../../web/trace/model/runs.ts'

const palette = new Proxy({} as Palette, {
  get: (_, name) => (name === 'mono' || name === 'sans' ? 'Face' : '#123456'),
})
const runs = (step: number) => {
  const builder = new RunsBuilder()
  for (let i = 0; i < 100_000; i += 1) builder.append(i * step, i % 200)
  return builder.finish(100_000 * step)
}
const lanes: Lane[] = [
  { kind: 'value', id: 'register-A', title: 'A', runs: runs(10), digits: 2 },
  { kind: 'bits', id: 'segments', title: 'Segments', runs: runs(10), noun: 'segment', names: [...'abcdefg', 'point'] },
]
const laid = layOut(lanes)
const picture = {
  ...{ lanes: laid.lanes, height: laid.height, window: { from: 0, to: 1_000_000 }, t: 500, selection: null },
  ...{ marks: [{ t: 10, kind: 'wrong' as const }], measure: null, clockHz: 2_500_000 },
}

describe('a picture of the lanes', () => {
  test('says what it is, shows every lane by its name and is closed', () => {
    const text = svgOf(picture, palette, 'A < B & "C"')
    expect(text).toMatch(/^<svg xmlns="http:\/\/www\.w3\.org\/2000\/svg"/)
    expect(text).toContain('<title>A &lt; B &amp; &quot;C&quot;</title>')
    expect(text).toContain('>Segments</text>')
    expect(text.trimEnd().endsWith('</svg>')).toBe(true)
  })

  test('has as many parts as the page has room for, however long the run', () => {
    const pen = new SvgPen()
    drawAxis(pen, { ...picture, width: 1000 }, palette)
    const parts = pen.text(1000, 100, '#fff', '').split('\n').length
    expect(parts).toBeGreaterThan(10)
    expect(parts).toBeLessThan(10_000)
  })

  test('moves what is drawn to where the pen was moved, and back', () => {
    const pen = new SvgPen()
    pen.save()
    pen.translate(10, 20)
    pen.fillRect(1, 2, 3, 4)
    pen.restore()
    pen.fillRect(1, 2, 3, 4)
    const text = pen.text(50, 50, '#fff', '')
    expect(text).toContain('<rect x="11" y="22" width="3" height="4"')
    expect(text).toContain('<rect x="1" y="2" width="3" height="4"')
  })
})
