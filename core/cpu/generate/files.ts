import { typescriptInterpreter } from './typescript.ts'

/** The files of core/cpu/generated, as they have to be. A test compares them with what is there. */
export function generatedFiles(): readonly { readonly name: string; readonly text: string }[] {
  return [{ name: 'interpreter.ts', text: typescriptInterpreter() }]
}
