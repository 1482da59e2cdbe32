import type { BoardProfile } from '../../core/board/index.ts'
import { Bench, type BenchPort } from './model/Bench.svelte.ts'

/** A board whose machine is in a web worker, switched on; whoever makes it closes it. */
export function benchInBrowser(board: BoardProfile): Bench {
  const worker = new Worker(new URL('./worker/bench-worker.ts', import.meta.url), { type: 'module', name: 'bench' })
  return new Bench(board, worker as BenchPort, (draw) => requestAnimationFrame(draw))
}
