export { default as TracePage } from './TracePage.svelte'
