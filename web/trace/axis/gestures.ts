/** What a pointer can do on the axis; x counts in CSS pixels from the left edge of the canvas. */
export interface Gestures {
  timeAt(x: number): number
  /** A click or tap: stand there. */
  tap(t: number): void
  /** A stretch drawn with mouse or pen. */
  drag(from: number, to: number): void
  zoom(factor: number, about: number): void
  pan(pixels: number): void
}

/** Less than this is a shaky click. */
const clickRadius = 4

/**
 * Wheel: closer and wider about the pointer; with Shift, or sideways: along. Mouse: click stands there, drag marks. Touch: tap
 * stands there, one finger moves along, two fingers zoom. Gives what takes it all away again.
 */
export function attachGestures(element: HTMLElement, gestures: Gestures): () => void {
  const ending = new AbortController()
  const { signal } = ending
  const fingers = new Map<number, number>()
  let pressed: { readonly x: number; readonly t: number } | null = null
  let hasMoved = false

  const xOf = (event: PointerEvent | WheelEvent) => event.clientX - element.getBoundingClientRect().left

  element.addEventListener(
    'wheel',
    (event) => {
      event.preventDefault()
      const isAlong = event.shiftKey || Math.abs(event.deltaX) > Math.abs(event.deltaY)
      if (isAlong) gestures.pan(event.deltaX === 0 ? event.deltaY : event.deltaX)
      else
        gestures.zoom(
          2 ** (Math.sign(event.deltaY) * Math.min(1, Math.abs(event.deltaY) / 240)),
          gestures.timeAt(xOf(event)),
        )
    },
    { signal, passive: false },
  )

  element.addEventListener(
    'pointerdown',
    (event) => {
      if (event.pointerType === 'mouse' && event.button !== 0) return
      element.setPointerCapture(event.pointerId)
      const x = xOf(event)
      fingers.set(event.pointerId, x)
      pressed = { x, t: gestures.timeAt(x) }
      hasMoved = fingers.size > 1
    },
    { signal },
  )

  element.addEventListener(
    'pointermove',
    (event) => {
      const before = fingers.get(event.pointerId)
      if (before === undefined || pressed === null) return
      const x = xOf(event)
      if (Math.abs(x - pressed.x) > clickRadius) hasMoved = true
      const other = [...fingers].find(([id]) => id !== event.pointerId)?.[1]
      if (other !== undefined) pinch(before, x, other)
      else if (event.pointerType === 'touch') gestures.pan(before - x)
      else if (hasMoved) gestures.drag(pressed.t, gestures.timeAt(x))
      fingers.set(event.pointerId, x)
    },
    { signal },
  )

  const pinch = (before: number, x: number, other: number) => {
    const [wide, now] = [Math.abs(before - other), Math.abs(x - other)]
    if (wide > 8 && now > 8) gestures.zoom(wide / now, gestures.timeAt((x + other) / 2))
  }

  const up = (event: PointerEvent) => {
    if (!fingers.delete(event.pointerId) || fingers.size > 0) return
    if (!hasMoved && pressed !== null && event.type === 'pointerup') gestures.tap(pressed.t)
    pressed = null
  }
  element.addEventListener('pointerup', up, { signal })
  element.addEventListener('pointercancel', up, { signal })

  return () => ending.abort()
}
