export { default as BenchPage } from './BenchPage.svelte'
export { handOver, type HandedOver } from './model/hand-over.ts'
