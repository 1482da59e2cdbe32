/** Writes core/cpu/generated from the instruction table: `npx tsx tests/core/cpu/write-generated.ts`. */
import { writeFileSync } from 'node:fs'
import { generatedFiles } from '../../../core/cpu/generate/files.ts'

for (const { name, text } of generatedFiles()) {
  const url = new URL(`../../../core/cpu/generated/${name}`, import.meta.url)
  writeFileSync(url, text)
  console.log(`${name}: ${text.length} characters`)
}
