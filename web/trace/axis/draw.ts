import type { SpeakerMeasure } from '../../../core/board/index.ts'
import { measureWords } from '../model/lane-table.ts'
import type { Span } from '../model/span.ts'
import { drawLane } from './draw-lane.ts'
import { type LaidLane, rulerHeight } from './lay-out.ts'
import type { Palette } from './palette.ts'
import type { Pen } from './pen.ts'
import { ticks } from './ruler.ts'

/** A place on the axis worth a sign of its own. */
export interface AxisMark {
  readonly t: number
  readonly kind: 'wrong' | 'cause' | 'note' | 'here'
}

export interface LanesPicture {
  readonly lanes: readonly LaidLane[]
  readonly window: Span
  readonly clockHz: number
  readonly width: number
  readonly height: number
}

export interface AxisPicture extends LanesPicture {
  readonly t: number
  readonly selection: Span | null
  readonly marks: readonly AxisMark[]
  /** Of the speaker over the selection. */
  readonly measure: SpeakerMeasure | null
}

/** Draws the whole axis anew; some hundred strokes a lane at most, whatever the length of the run. */
export function drawAxis(context: Pen, picture: AxisPicture, palette: Palette): void {
  drawUnder(context, picture, palette)
  drawLanes(context, picture, palette)
  drawOver(context, picture, palette)
}

/** What lies beneath the lanes: an empty ground, and the marked stretch. */
export function drawUnder(context: Pen, picture: AxisPicture, palette: Palette): void {
  const { width, height, selection } = picture
  context.clearRect(0, 0, width, height)
  if (selection === null) return
  const from = placeOn(picture, selection.from)
  context.fillStyle = palette.accentWash
  context.fillRect(from, rulerHeight, Math.max(1, placeOn(picture, selection.to) - from), height - rulerHeight)
}

/** Ruler and lanes: the same as long as window, lanes and size are. */
export function drawLanes(context: Pen, picture: LanesPicture, palette: Palette): void {
  const { width, window } = picture
  drawRuler(context, picture, palette, (t) => placeOn(picture, t))
  context.save()
  belowRuler(context, picture)
  for (const laid of picture.lanes) {
    context.save()
    context.beginPath()
    context.rect(0, laid.top, width, laid.height)
    context.clip()
    context.translate(0, laid.top)
    drawLane(context, laid, window, width, palette)
    context.restore()
  }
  context.restore()
}

/** Lanes that were scrolled up are cut off where the ruler ends. */
function belowRuler(context: Pen, { width, height }: LanesPicture): void {
  context.beginPath()
  context.rect(0, rulerHeight, width, Math.max(0, height - rulerHeight))
  context.clip()
}

/** What stands on the lanes: the measure of the marked stretch, marks and the cursor. */
export function drawOver(context: Pen, picture: AxisPicture, palette: Palette): void {
  const speaker = picture.lanes.find(({ lane }) => lane.kind === 'speaker')
  if (speaker !== undefined) {
    context.save()
    belowRuler(context, picture)
    context.translate(0, speaker.top)
    drawMeasure(context, picture, (t) => placeOn(picture, t), palette)
    context.restore()
  }
  for (const mark of picture.marks) drawMark(context, mark, placeOn(picture, mark.t), palette)
  drawCursor(context, placeOn(picture, picture.t), picture.height, palette)
}

function placeOn({ window, width }: LanesPicture, t: number): number {
  return ((t - window.from) / (window.to - window.from)) * width
}

function drawRuler(
  context: Pen,
  { window, width, height, clockHz }: LanesPicture,
  palette: Palette,
  xOf: (t: number) => number,
): void {
  context.font = `11.5px ${palette.mono}`
  context.textBaseline = 'alphabetic'
  context.lineWidth = 1
  for (const tick of ticks(window, width, 104, clockHz)) {
    const x = Math.round(xOf(tick.t)) + 0.5
    context.strokeStyle = palette.rule
    line(context, x, 4, x, height)
    if (x > width - 64) continue
    context.fillStyle = palette.ink
    context.fillText(tick.time, x + 5, 14)
    context.fillStyle = palette.soft
    context.fillText(`${tick.tStates} T`, x + 5, 29)
  }
  context.strokeStyle = palette.edge
  line(context, 0, rulerHeight - 0.5, width, rulerHeight - 0.5)
}

/** What was measured over the selection, on the lane of the speaker. */
function drawMeasure(
  context: Pen,
  { selection, measure, width }: AxisPicture,
  xOf: (t: number) => number,
  palette: Palette,
): void {
  if (selection === null || measure === null || measure.frequencyHz === null) return
  const words = measureWords(measure)
  context.font = `600 11.5px ${palette.mono}`
  context.textBaseline = 'alphabetic'
  const wide = context.measureText(words).width
  const x = Math.max(0, Math.min(xOf(selection.from), width - wide - 6))
  context.fillStyle = palette.panel
  context.fillRect(x, 0, wide + 6, 16)
  context.fillStyle = palette.accent
  context.fillText(words, x + 3, 12)
}

/**
 * Wrong: a pennant that hangs from the ruler. Cause: a lozenge. Note: a square. What one was led to: a bracket about the
 * cursor. Shape tells them apart where colour does not.
 */
function drawMark(context: Pen, mark: AxisMark, x: number, palette: Palette): void {
  const y = rulerHeight
  if (mark.kind === 'here') {
    context.strokeStyle = palette.accent
    context.lineWidth = 2
    for (const side of [-1, 1]) {
      line(context, x + side * 9, 1, x + side * 9, y)
      line(context, x + side * 9, y, x + side * 5, y)
    }
    return
  }
  context.fillStyle = mark.kind === 'wrong' ? palette.fail : palette.wait
  context.beginPath()
  if (mark.kind === 'wrong') {
    context.moveTo(x - 6, y - 9)
    context.lineTo(x + 6, y - 9)
    context.lineTo(x, y + 1)
  } else if (mark.kind === 'cause') {
    context.moveTo(x, y - 12)
    context.lineTo(x + 6, y - 6)
    context.lineTo(x, y)
    context.lineTo(x - 6, y - 6)
  } else context.rect(x - 4, y - 9, 8, 8)
  context.fill()
}

function drawCursor(context: Pen, x: number, height: number, palette: Palette): void {
  const at = Math.round(x) + 0.5
  context.strokeStyle = palette.accent
  context.lineWidth = 2
  line(context, at, 0, at, height)
  context.fillStyle = palette.accent
  context.beginPath()
  context.moveTo(at - 5, 0)
  context.lineTo(at + 5, 0)
  context.lineTo(at + 5, 4)
  context.lineTo(at, 9)
  context.lineTo(at - 5, 4)
  context.fill()
}

export function line(context: Pen, x1: number, y1: number, x2: number, y2: number): void {
  context.beginPath()
  context.moveTo(x1, y1)
  context.lineTo(x2, y2)
  context.stroke()
}
