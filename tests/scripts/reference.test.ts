import { existsSync, readFileSync } from 'node:fs'
import { join, resolve } from 'node:path'
import { describe, expect, test } from 'vitest'
import { referencePages } from '../../scripts/write-reference.ts'

const root = resolve(import.meta.dirname, '../..')

describe('pages made from the program', () => {
  test.each([...referencePages()])('%s says what the program says (npm run reference)', (path, text) => {
    expect(existsSync(join(root, path))).toBe(true)
    expect(readFileSync(join(root, path), 'utf8') === text).toBe(true)
  })
})
