import type { Attachment } from 'svelte/attachments'

/** Keeps line `at` of a listing in sight: moves only its box, never the page, and only when the line has left it. */
export function follow(at: number): Attachment<HTMLElement> {
  return (box) => {
    const row = box.querySelector<HTMLElement>(`[data-line="${at}"]`)
    if (row === null) return
    const top = row.offsetTop
    const isInSight = top >= box.scrollTop + 40 && top + row.offsetHeight <= box.scrollTop + box.clientHeight - 24
    if (!isInSight) box.scrollTop = top - box.clientHeight / 3
  }
}
