/** The one thing web tests take from Node: @types/node whole would change the browser's own types (timers, events). */
declare module 'node:fs' {
  export function readFileSync(path: URL, encoding: 'utf8'): string
}
