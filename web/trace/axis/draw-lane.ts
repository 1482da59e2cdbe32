import { byteDigits, wordDigits } from '../../../core/image/index.ts'
import type { Lane, Sound } from '../model/lane.ts'
import { indexAt, strokes } from '../model/runs.ts'
import type { Span } from '../model/span.ts'
import { frequency } from '../../machine/words.ts'
import { bitRowHeight, type LaidLane, placeRowHeight } from './lay-out.ts'
import type { Palette } from './palette.ts'
import type { Pen } from './pen.ts'
import { bitShares, type Shares } from './shares.ts'

type Context = Pen
type LaneOf<K extends Lane['kind']> = Lane & { readonly kind: K }

/** Draws a lane with its top left corner at the origin. */
export function drawLane(context: Context, laid: LaidLane, span: Span, width: number, palette: Palette): void {
  const { lane, height } = laid
  switch (lane.kind) {
    case 'digit':
      return drawDigit(context, lane, span, width, height, palette)
    case 'speaker':
      return drawSpeaker(context, lane, span, width, height, palette)
    case 'place':
      return drawPlaces(context, laid, lane, span, width, palette)
    case 'depth':
      return drawDepth(context, lane, span, width, height, palette)
    case 'keys':
      return drawKeys(context, lane, span, width, height, palette)
    case 'marks':
      return drawMarks(context, lane, span, width, height, palette)
    case 'value':
      return drawValues(context, lane, span, width, height, palette)
    case 'bits':
      return drawBits(context, lane, span, width, palette)
  }
}

/** Dash of the light beneath a glyph: the state of the digit without colour and without a real flicker. */
const dashes = { steady: [], flickers: [4, 3], blinks: [12, 8], ghosted: [1, 3], dark: [] } as const

function drawDigit(
  context: Context,
  lane: LaneOf<'digit'>,
  span: Span,
  width: number,
  height: number,
  palette: Palette,
) {
  const middle = height / 2
  context.fillStyle = palette.edge
  context.globalAlpha = 0.4
  const endX = ((Math.min(lane.runs.end, span.to) - span.from) / (span.to - span.from)) * width
  context.fillRect(0, middle - 0.5, endX, 1)
  context.globalAlpha = 1
  context.font = `600 13px ${palette.mono}`
  context.textBaseline = 'middle'
  context.lineWidth = 2
  for (const stroke of strokes(lane.runs, span, width)) {
    const look = stroke.value === null ? null : lane.looks[stroke.value]
    if (look === undefined || look?.state === 'dark') continue
    context.fillStyle = palette.glass
    context.fillRect(stroke.x, 1, Math.max(1, stroke.width), height - 2)
    context.fillStyle = palette.lit
    context.strokeStyle = palette.lit
    if (look === null || stroke.width < 3) {
      context.globalAlpha = look === null ? 0.55 : 1
      context.fillRect(stroke.x, 4, stroke.width, height - 8)
      context.globalAlpha = 1
      continue
    }
    context.fillRect(stroke.x, 3, 1.5, height - 6)
    const hasRoom = stroke.width > 14
    if (hasRoom) context.fillText(look.glyph === ' ' ? '·' : look.glyph, stroke.x + 5, middle + 1)
    context.setLineDash([...dashes[look.state]])
    context.globalAlpha = 0.7
    const from = stroke.x + (hasRoom ? 17 : 2)
    if (stroke.width > (hasRoom ? 20 : 4)) {
      context.beginPath()
      context.moveTo(from, middle)
      context.lineTo(stroke.x + stroke.width - 2, middle)
      context.stroke()
    }
    context.globalAlpha = 1
    context.setLineDash([])
  }
}

function drawSpeaker(
  context: Context,
  lane: LaneOf<'speaker'>,
  span: Span,
  width: number,
  height: number,
  palette: Palette,
) {
  const [high, low] = [18, height - 5]
  const yOf = (level: number) => (level === 1 ? high : low)
  context.strokeStyle = palette.accent
  context.fillStyle = palette.accent
  context.lineWidth = 1.5
  let y: number | null = null
  for (const stroke of strokes(lane.runs, span, width)) {
    if (stroke.value === null) {
      context.globalAlpha = 0.45
      context.fillRect(stroke.x, high, stroke.width, low - high)
      context.globalAlpha = 1
      y = null
      continue
    }
    const next = yOf(stroke.value)
    context.beginPath()
    context.moveTo(stroke.x, y ?? next)
    context.lineTo(stroke.x, next)
    context.lineTo(stroke.x + stroke.width, next)
    context.stroke()
    y = next
  }
  context.font = `11.5px ${palette.mono}`
  context.textBaseline = 'alphabetic'
  let free = 0
  for (const sound of lane.sounds) free = labelSound(context, sound, span, width, free, palette)
}

/** The frequency over its sound where there is room; gives the first free x. */
function labelSound(context: Context, sound: Sound, span: Span, width: number, free: number, palette: Palette): number {
  if (sound.to < span.from || sound.from > span.to || sound.frequencyHz === null) return free
  const scale = width / (span.to - span.from)
  const from = Math.max(0, (sound.from - span.from) * scale)
  const words = frequency(sound.frequencyHz)
  if (from < free) return free
  context.fillStyle = palette.ink
  context.fillText(words, from + 2, 12)
  return from + context.measureText(words).width + 10
}

function drawPlaces(
  context: Context,
  laid: LaidLane,
  lane: LaneOf<'place'>,
  span: Span,
  width: number,
  palette: Palette,
) {
  if (laid.places === null) return
  context.fillStyle = palette.soft
  drawShares(context, laid.places.shares, span, width, placeRowHeight)
}

function drawBits(context: Context, lane: LaneOf<'bits'>, span: Span, width: number, palette: Palette) {
  context.fillStyle = palette.ink
  drawShares(context, bitShares(lane), span, width, bitRowHeight)
}

/** Row under row, each pixel as dense as the share of its time that the row was on. */
function drawShares(context: Context, shares: Shares, span: Span, width: number, rowHeight: number): void {
  const columns = Math.max(1, Math.round(width))
  const cover = shares.coverage(span, columns)
  const gap = rowHeight > 10 ? 2 : 1
  for (let row = 0; row < shares.rows; row += 1) {
    const y = row * rowHeight
    context.globalAlpha = 0.25
    context.fillRect(0, y + rowHeight - 1, width, 0.5)
    for (let x = 0; x < columns;) {
      const depth = depthOf(cover[row * columns + x] ?? 0)
      let next = x + 1
      while (next < columns && depthOf(cover[row * columns + next] ?? 0) === depth) next += 1
      if (depth > 0) {
        context.globalAlpha = 0.12 + 0.88 * (depth / depths)
        context.fillRect(x, y + gap, next - x, rowHeight - 2 * gap)
      }
      x = next
    }
  }
  context.globalAlpha = 1
}

/** An eye tells no more than these apart in a row so thin; neighbours alike are drawn in one go. */
const depths = 12

function depthOf(share: number): number {
  return share <= 0 ? 0 : Math.max(1, Math.round(Math.min(1, share) * depths))
}

/** Boxes with their value, and where there is no room for them the height between the lowest and the highest. */
function drawValues(
  context: Context,
  lane: LaneOf<'value'>,
  span: Span,
  width: number,
  height: number,
  palette: Palette,
) {
  const most = lane.digits === 4 ? 0xffff : 0xff
  const yOf = (value: number) => height - 2 - (value / most) * (height - 4)
  const wide = lane.digits * 7 + 8
  context.font = `600 12px ${palette.mono}`
  context.textBaseline = 'middle'
  for (const stroke of strokes(lane.runs, span, width)) {
    if (stroke.value === null || stroke.width < 4) {
      context.globalAlpha = 0.5
      context.fillStyle = palette.accent
      const top = yOf(stroke.high)
      context.fillRect(stroke.x, top, stroke.width, Math.max(1.5, yOf(stroke.low) - top))
      context.globalAlpha = 1
      continue
    }
    context.fillStyle = palette.well
    context.fillRect(stroke.x, 2, stroke.width, height - 4)
    context.fillStyle = palette.accent
    context.fillRect(stroke.x, 2, 1.5, height - 4)
    context.fillStyle = palette.ink
    if (stroke.width >= wide) context.fillText(valueDigits(stroke.value, lane.digits), stroke.x + 5, height / 2 + 1)
  }
}

function valueDigits(value: number, digits: 2 | 4): string {
  return digits === 4 ? wordDigits(value) : byteDigits(value)
}

function drawDepth(
  context: Context,
  lane: LaneOf<'depth'>,
  span: Span,
  width: number,
  height: number,
  palette: Palette,
) {
  const most = Math.max(8, lane.deepest)
  const yOf = (depth: number) => height - 1 - (Math.max(0, Math.min(depth, most)) / most) * (height - 6)
  for (const stroke of strokes(lane.runs, span, width)) {
    context.globalAlpha = 0.22
    context.fillStyle = palette.wait
    context.fillRect(stroke.x, yOf(stroke.low), stroke.width, height - yOf(stroke.low))
    context.globalAlpha = 1
    context.fillRect(stroke.x, yOf(stroke.high), stroke.width, Math.max(1.5, yOf(stroke.low) - yOf(stroke.high)))
  }
}

function drawKeys(context: Context, lane: LaneOf<'keys'>, span: Span, width: number, height: number, palette: Palette) {
  context.font = `600 12px ${palette.mono}`
  context.textBaseline = 'middle'
  for (const stroke of strokes(lane.runs, span, width)) {
    if (stroke.value === 0) continue
    context.fillStyle = palette.ink
    context.globalAlpha = stroke.value === null ? 0.6 : 1
    context.fillRect(stroke.x, 2, Math.max(2, stroke.width), height - 4)
    context.globalAlpha = 1
    const name = lane.names[stroke.value ?? 0] ?? ''
    context.fillStyle = palette.panel
    if (context.measureText(name).width + 8 < stroke.width) context.fillText(name, stroke.x + 4, height / 2 + 1)
  }
}

function drawMarks(
  context: Context,
  lane: LaneOf<'marks'>,
  span: Span,
  width: number,
  height: number,
  palette: Palette,
) {
  const scale = width / (span.to - span.from)
  let last = -1
  for (let i = indexAt(lane.times, span.from - 1) + 1; i < lane.times.length; i += 1) {
    const t = lane.times[i] ?? 0
    if (t >= span.to) break
    const x = Math.floor((t - span.from) * scale)
    const isLost = (lane.words[i] ?? '').startsWith('lost')
    if (x === last && !isLost) continue
    last = x
    context.fillStyle = isLost ? palette.fail : palette.ink
    context.fillRect(x, isLost ? 2 : 5, isLost ? 3 : 1.5, height - (isLost ? 4 : 10))
  }
}
