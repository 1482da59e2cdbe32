export { askRun } from './ask-run.ts'
export type { Answer, AnswerRow } from './model/question.ts'
export { default as TracePage } from './TracePage.svelte'
