import type { TState } from '../cpu/index.ts'

/** What an eye can tell apart, in T-states of one board. */
export interface Eye {
  /** The time over which it adds up light. */
  readonly window: TState
  /** A segment is seen when it is lit for at least this much of a window. */
  readonly least: TState
  /** A digit whose dark gaps are no longer is steady. */
  readonly steadyGap: TState
  /** Up to this gap it flickers; a longer one is a pause in which it is dark. */
  readonly flickerGap: TState
  /** Showings shorter than this, parted by pauses up to `blinkPause`, are one blinking sign. */
  readonly blinkShowing: TState
  readonly blinkPause: TState
}

/** Part of its lit time in which a digit may show a neighbour's segments before it counts as ghosted. */
export const ghostLimit = 0.01

/**
 * A segment lit for less than this part of the time of the brightest one in the same visit does not belong to the
 * digit's sign: it is a neighbour's, shown for the few T-states between two port writes.
 */
export const ghostShare = 0.25

// Fusion of a flashing light at about 50 to 60 Hz and the time an eye adds up: common practice, no source. The limits
// of 33.3, 16.7 and 50 ms and 2 % are the course's rule; 100 ms and 1 s for blinking are ours: a sign that stands for
// a tenth of a second can be read by itself, so it counts as shown and then dark.
export function eyeFor(clockHz: number): Eye {
  const ms = (time: number) => Math.round((clockHz * time) / 1000)
  return {
    window: ms(33.3),
    least: 0.02 * ms(33.3),
    steadyGap: ms(16.7),
    flickerGap: ms(50),
    blinkShowing: ms(100),
    blinkPause: ms(1000),
  }
}
