import { typescriptInterpreter } from './typescript.ts'
import { wasmInterpreter } from './wasm.ts'

const digits = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'

function base64(bytes: Uint8Array): string {
  const text: string[] = []
  for (let at = 0; at < bytes.length; at += 3) {
    const word = ((bytes[at] ?? 0) << 16) | ((bytes[at + 1] ?? 0) << 8) | (bytes[at + 2] ?? 0)
    for (const shift of [18, 12, 6, 0]) text.push(digits[(word >> shift) & 63] ?? '')
  }
  return text.join('')
}

function wasmFile(): string {
  const bytes = wasmInterpreter()
  return `// Made from the instruction table by core/cpu/generate/wasm.ts; never edited by hand.
export const byteLength = ${bytes.length}
export const base64 =
  '${base64(bytes)}'
`
}

/** The files of core/cpu/generated, as they have to be. A test compares them with what is there. */
export function generatedFiles(): readonly { readonly name: string; readonly text: string }[] {
  return [
    { name: 'interpreter.ts', text: typescriptInterpreter() },
    { name: 'wasm.ts', text: wasmFile() },
  ]
}
