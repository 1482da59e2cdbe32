import { readFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { generatedFiles } from '../../../core/cpu/generate/files.ts'

describe('the generated interpreters', () => {
  test.each(generatedFiles().map((file) => [file.name, file.text]))(
    '%s is what the table makes today',
    (name, text) => {
      const there = readFileSync(new URL(`../../../core/cpu/generated/${name}`, import.meta.url), 'utf8')
      // Not a comparison by the test library: its difference of two such texts would take minutes.
      expect(there === text, 'run npx tsx tests/core/cpu/write-generated.ts').toBe(true)
    },
  )
})
