export type { Image, Segment } from './image.ts'
export type { Place, Problem } from './problem.ts'
