export { default as Prose } from './Prose.svelte'
