import type { Addr } from '../cpu/index.ts'

/** Bytes that stand together from `start` upwards. */
export interface Segment {
  readonly start: Addr
  readonly bytes: Uint8Array
}

/** What is loaded into memory: segments in ascending order, none empty, none touching or overlapping another. */
export interface Image {
  readonly segments: readonly Segment[]
}
