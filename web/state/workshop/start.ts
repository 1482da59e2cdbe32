import { Workshop } from './Workshop.svelte.ts'

/** A workshop whose desks are web workers; whoever makes it stops it. */
export function browserWorkshop(): Workshop {
  return new Workshop(() => new Worker(new URL('./worker.ts', import.meta.url), { type: 'module' }))
}
