/** The part of a canvas that the lanes are drawn with, so that they can be drawn into a file as well. */
export type Pen = Pick<
  CanvasRenderingContext2D,
  | ('fillStyle' | 'strokeStyle' | 'lineWidth' | 'globalAlpha' | 'font' | 'textBaseline')
  | ('save' | 'restore' | 'translate' | 'clearRect' | 'fillRect' | 'fillText' | 'measureText' | 'setLineDash')
  | ('beginPath' | 'moveTo' | 'lineTo' | 'rect' | 'clip' | 'fill' | 'stroke')
>

interface State {
  readonly x: number
  readonly y: number
  readonly clip: string | null
}

/** Draws into the text of an SVG picture. Colours must be given as CSS writes them. */
export class SvgPen implements Pen {
  fillStyle: Pen['fillStyle'] = '#000'
  strokeStyle: Pen['strokeStyle'] = '#000'
  lineWidth = 1
  globalAlpha = 1
  font = '12px sans-serif'
  textBaseline: CanvasTextBaseline = 'alphabetic'
  readonly #parts: string[] = []
  readonly #clips: string[] = []
  readonly #shelf: State[] = []
  #now: State = { x: 0, y: 0, clip: null }
  #path = ''
  #dash: readonly number[] = []

  /** The whole picture on a ground. */
  text(width: number, height: number, ground: string, title: string): string {
    const clips = this.#clips.map((path, i) => `<clipPath id="c${i}"><path d="${path}"/></clipPath>`).join('')
    const size = `width="${round(width)}" height="${round(height)}" viewBox="0 0 ${round(width)} ${round(height)}"`
    return [
      `<svg xmlns="http://www.w3.org/2000/svg" ${size} role="img"><title>${escaped(title)}</title>`,
      `<defs>${clips}</defs><rect width="100%" height="100%" fill="${escaped(ground)}"/>`,
      ...this.#parts,
      '</svg>\n',
    ].join('\n')
  }

  save(): void {
    this.#shelf.push(this.#now)
  }

  restore(): void {
    this.#now = this.#shelf.pop() ?? this.#now
  }

  translate(x: number, y: number): void {
    this.#now = { ...this.#now, x: this.#now.x + x, y: this.#now.y + y }
  }

  clearRect(): void {
    // A picture begins empty.
  }

  setLineDash(dash: Iterable<number>): void {
    this.#dash = [...dash]
  }

  beginPath(): void {
    this.#path = ''
  }

  moveTo(x: number, y: number): void {
    this.#path += `M${this.#at(x, y)}`
  }

  lineTo(x: number, y: number): void {
    this.#path += `L${this.#at(x, y)}`
  }

  rect(x: number, y: number, width: number, height: number): void {
    this.#path += `M${this.#at(x, y)}h${round(width)}v${round(height)}h${round(-width)}z`
  }

  clip(): void {
    this.#clips.push(this.#path)
    this.#now = { ...this.#now, clip: `c${this.#clips.length - 1}` }
  }

  fill(): void {
    this.#draw(`<path d="${this.#path}" ${this.#filled()}/>`)
  }

  stroke(): void {
    const dash = this.#dash.length === 0 ? '' : ` stroke-dasharray="${this.#dash.join(' ')}"`
    const look = `stroke="${escaped(String(this.strokeStyle))}" stroke-width="${this.lineWidth}"${dash}${this.#alpha()}`
    this.#draw(`<path d="${this.#path}" fill="none" ${look}/>`)
  }

  fillRect(x: number, y: number, width: number, height: number): void {
    const [left, top] = [round(x + this.#now.x), round(y + this.#now.y)]
    this.#draw(`<rect x="${left}" y="${top}" width="${round(width)}" height="${round(height)}" ${this.#filled()}/>`)
  }

  fillText(text: string, x: number, y: number): void {
    const middle = this.textBaseline === 'middle' ? ' dominant-baseline="central"' : ''
    const [left, top] = [round(x + this.#now.x), round(y + this.#now.y)]
    const look = `style="font:${escaped(this.font)}" ${this.#filled()}${middle}`
    this.#draw(`<text x="${left}" y="${top}" ${look}>${escaped(text)}</text>`)
  }

  /** The mono face is six tenths of its size wide (its designers' measure); other faces are taken for as wide. */
  measureText(text: string): TextMetrics {
    const size = Number(/([\d.]+)px/.exec(this.font)?.[1] ?? 12)
    return { width: text.length * size * 0.6 } as TextMetrics
  }

  #draw(part: string): void {
    const { clip } = this.#now
    this.#parts.push(clip === null ? part : `<g clip-path="url(#${clip})">${part}</g>`)
  }

  #filled(): string {
    return `fill="${escaped(String(this.fillStyle))}"${this.#alpha()}`
  }

  #alpha(): string {
    return this.globalAlpha === 1 ? '' : ` opacity="${round(this.globalAlpha)}"`
  }

  #at(x: number, y: number): string {
    return `${round(x + this.#now.x)} ${round(y + this.#now.y)}`
  }
}

function round(value: number): string {
  return String(Math.round(value * 100) / 100)
}

function escaped(text: string): string {
  return text.replaceAll('&', '&amp;').replaceAll('<', '&lt;').replaceAll('>', '&gt;').replaceAll('"', '&quot;')
}
