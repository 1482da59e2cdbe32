import { type AxisPicture, type LanesPicture, drawLanes, drawOver, drawUnder } from './draw.ts'
import type { Palette } from './palette.ts'

/**
 * Draws the axis on a canvas. The lanes are kept as a picture of their own, which is made anew only when the window, the
 * lanes, the size or the colours change: while a stretch is marked or one steps, it is laid down again as it is.
 */
export class AxisLayer {
  readonly #canvas: HTMLCanvasElement
  readonly #lanes: HTMLCanvasElement
  #drawn: readonly unknown[] = []

  constructor(canvas: HTMLCanvasElement) {
    this.#canvas = canvas
    this.#lanes = canvas.ownerDocument.createElement('canvas')
  }

  draw(picture: AxisPicture, palette: Palette, scale: number): void {
    const context = fitted(this.#canvas, picture, scale)
    if (context === null) return
    this.#drawLanes(picture, palette, scale)
    drawUnder(context, picture, palette)
    context.drawImage(this.#lanes, 0, 0, picture.width, picture.height)
    drawOver(context, picture, palette)
  }

  #drawLanes(picture: LanesPicture, palette: Palette, scale: number): void {
    const { lanes, window, width, height, clockHz } = picture
    const facts = [lanes, window.from, window.to, width, height, clockHz, palette, scale]
    if (facts.every((fact, i) => fact === this.#drawn[i])) return
    const context = fitted(this.#lanes, picture, scale)
    if (context === null) return
    context.clearRect(0, 0, width, height)
    drawLanes(context, picture, palette)
    this.#drawn = facts
  }
}

function fitted(
  canvas: HTMLCanvasElement,
  { width, height }: LanesPicture,
  scale: number,
): CanvasRenderingContext2D | null {
  const [across, down] = [Math.max(1, Math.round(width * scale)), Math.max(1, Math.round(height * scale))]
  if (canvas.width !== across) canvas.width = across
  if (canvas.height !== down) canvas.height = down
  const context = canvas.getContext('2d')
  context?.setTransform(scale, 0, 0, scale, 0, 0)
  return context
}
