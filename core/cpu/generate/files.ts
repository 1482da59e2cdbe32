import { pack } from './pack.ts'
import { typescriptInterpreter } from './typescript.ts'
import { wasmCareful, wasmUsual } from './wasm.ts'

function wasmFile(bytes: Uint8Array): string {
  return `// Made from the instruction table by core/cpu/generate/wasm.ts; never edited by hand.
export const byteLength = ${bytes.length}
export const packed =
  '${pack(bytes)}'
`
}

/** The files of core/cpu/generated, as they have to be. A test compares them with what is there. */
export function generatedFiles(): readonly { readonly name: string; readonly text: string }[] {
  return [
    { name: 'interpreter.ts', text: typescriptInterpreter() },
    { name: 'wasm.ts', text: wasmFile(wasmUsual()) },
    { name: 'wasm-careful.ts', text: wasmFile(wasmCareful()) },
  ]
}
