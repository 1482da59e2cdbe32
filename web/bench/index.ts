export { default as BenchPage } from './BenchPage.svelte'
export { default as BoardFace } from './panels/BoardFace.svelte'
export { benchInBrowser } from './start.ts'
export { handOver, type HandedOver } from './model/hand-over.ts'
