import { segmentsOf, type BoardEvent } from '../../../core/board/index.ts'

/** One sign of a made-up display: swept so many times, each digit lit for 2,500 T, with `pause` T after each sweep and `after` at the end. */
export interface MadeSign {
  readonly glyphs: string
  readonly sweeps: number
  readonly pause?: number
  readonly after?: number
}

/** Port writes that show signs one after the other, from T-state `start` on. */
export function show(
  signs: readonly MadeSign[],
  start = 100,
): { readonly events: readonly BoardEvent[]; readonly tStates: number } {
  const events: BoardEvent[] = []
  let t = start
  const write = (port: number, value: number): void => {
    events.push({ kind: 'port-write', t, pc: 0x4010, port, value })
  }
  for (const { glyphs, sweeps, pause = 0, after = 0 } of signs) {
    for (let sweep = 0; sweep < sweeps; sweep++) {
      for (const [digit, glyph] of [...glyphs].entries()) {
        write(0x20, segmentsOf(glyph) ?? 0)
        write(0x21, 1 << digit)
        t += 2500
        write(0x21, 0)
      }
      t += pause
    }
    t += after
  }
  return { events, tStates: t }
}
