import type { Attachment } from 'svelte/attachments'

/** Boxes that were moved to keep a line in sight: their next scroll is nobody's wish. */
const led = new WeakSet<Element>()

/** Keeps line `at` of a listing in sight: moves only its box, never the page, and only when the line has left it. */
export function follow(at: number): Attachment<HTMLElement> {
  return (box) => {
    const row = box.querySelector<HTMLElement>(`[data-line="${at}"]`)
    if (row === null) return
    const top = row.offsetTop
    const isInSight = top >= box.scrollTop + 40 && top + row.offsetHeight <= box.scrollTop + box.clientHeight - 24
    if (isInSight) return
    const before = box.scrollTop
    box.scrollTop = top - box.clientHeight / 3
    if (box.scrollTop !== before) led.add(box)
  }
}

/**
 * Boxes that are scrolled together: the same share of each is above its upper edge. A box that follows its own line
 * moves alone. Gives the attachment for each of them.
 */
export function scrolledTogether(): Attachment<HTMLElement> {
  const boxes = new Set<HTMLElement>()
  return (box) => {
    boxes.add(box)
    const moved = () => {
      if (led.delete(box)) return
      const share = box.scrollTop / Math.max(1, box.scrollHeight - box.clientHeight)
      for (const other of boxes) {
        if (other === box) continue
        const before = other.scrollTop
        other.scrollTop = share * (other.scrollHeight - other.clientHeight)
        if (other.scrollTop !== before) led.add(other)
      }
    }
    box.addEventListener('scroll', moved, { passive: true })
    return () => {
      boxes.delete(box)
      box.removeEventListener('scroll', moved)
    }
  }
}
