/**
 * The router takes every click on a link of this site. A click with a key held, or with another button, is for the
 * browser (a new tab, a new window, a download), so it never reaches the router. Returns what ends it.
 */
export function leaveModifiedClicks(target: Window): () => void {
  const guard = (event: MouseEvent) => {
    const isPlain = event.button === 0 && !event.ctrlKey && !event.metaKey && !event.shiftKey && !event.altKey
    const isOnLink = event.target instanceof Element && event.target.closest('a[href]') !== null
    if (!isPlain && isOnLink) event.stopImmediatePropagation()
  }
  target.addEventListener('click', guard, { capture: true })
  return () => target.removeEventListener('click', guard, { capture: true })
}
