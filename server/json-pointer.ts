/** The place in a JSON document as RFC 6901 writes it: `/cases/0/title`. */
export function pointerOf(path: readonly (string | number)[]): string {
  return path.map((part) => `/${String(part).replaceAll('~', '~0').replaceAll('/', '~1')}`).join('')
}
