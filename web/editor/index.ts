export { default as CodeEditor } from './CodeEditor.svelte'
export { type Editor, type EditorProblem } from './editor.ts'
export { type GutterFact } from './facts-gutter.ts'
