import { count } from '../../words/figures.ts'
import { type AxisPicture, drawAxis } from './draw.ts'
import { bitRowHeight, type LaidLane, placeRowHeight } from './lay-out.ts'
import type { Palette } from './palette.ts'
import { type Pen, SvgPen } from './pen.ts'

const namesWidth = 152
const pictureWidth = 1400

/** The lanes with their names at the left, for a file: as wide as a page, whatever the window is. */
export function drawPicture(pen: Pen, picture: Omit<AxisPicture, 'width'>, palette: Palette): void {
  pen.save()
  pen.translate(namesWidth, 0)
  drawAxis(pen, { ...picture, width: pictureWidth - namesWidth }, palette)
  pen.restore()
  pen.globalAlpha = 1
  for (const laid of picture.lanes) drawName(pen, laid, palette)
}

function drawName(pen: Pen, { lane, top, height, places }: LaidLane, palette: Palette): void {
  pen.textBaseline = 'middle'
  pen.fillStyle = palette.ink
  const rows = (names: readonly string[], high: number, size: number, x: number) => {
    pen.font = `${size}px ${palette.mono}`
    names.forEach((name, row) => pen.fillText(name, x, top + (row + 0.5) * high))
  }
  if (places !== null)
    return rows(
      places.rows.map(({ name }) => name),
      placeRowHeight,
      11,
      8,
    )
  if (lane.kind === 'bits') rows(lane.names, bitRowHeight, 8, namesWidth - 28)
  pen.font = `13px ${palette.sans}`
  const title = lane.kind === 'depth' ? `${lane.title}, to ${count(lane.deepest, 'byte')}` : lane.title
  pen.fillText(title, 8, lane.kind === 'bits' ? top + 8 : top + height / 2)
}

export function svgOf(picture: Omit<AxisPicture, 'width'>, palette: Palette, title: string): string {
  const pen = new SvgPen()
  drawPicture(pen, picture, palette)
  return pen.text(pictureWidth, picture.height, palette.panel, title)
}

/** At twice the resolution, for print. Null where the browser gives no canvas. */
export async function pngOf(picture: Omit<AxisPicture, 'width'>, palette: Palette): Promise<Blob | null> {
  const scale = 2
  const canvas = document.createElement('canvas')
  canvas.width = pictureWidth * scale
  canvas.height = Math.ceil(picture.height * scale)
  const context = canvas.getContext('2d')
  if (context === null) return null
  context.scale(scale, scale)
  drawPicture(context, picture, palette)
  // Under what was drawn: the axis clears its own ground.
  context.setTransform(1, 0, 0, 1, 0, 0)
  context.globalAlpha = 1
  context.globalCompositeOperation = 'destination-over'
  context.fillStyle = palette.panel
  context.fillRect(0, 0, canvas.width, canvas.height)
  return new Promise((resolve) => canvas.toBlob(resolve, 'image/png'))
}
