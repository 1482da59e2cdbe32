import { Reader } from './Reader.svelte.ts'

/** A reader with a web worker of its own; whoever makes it closes it. */
export function browserReader(): Reader {
  return new Reader(new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }))
}
