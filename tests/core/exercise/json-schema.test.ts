import { Ajv2020 } from 'ajv/dist/2020.js'
import { describe, expect, test } from 'vitest'
import { exerciseJsonSchema } from '../../../core/exercise/index.ts'
import { documentOf, folders } from './tram-depot.ts'

const validate = new Ajv2020({ strict: false }).compile(exerciseJsonSchema())

describe('the published JSON Schema (2020-12), read by an independent validator', () => {
  test.each(folders)('takes %s', (folder) => {
    validate(documentOf(folder))
    expect(validate.errors ?? []).toEqual([])
  })
  test('refuses an unknown kind, an unknown field and a wrong value', () => {
    const spoilt = (change: (check: Record<string, unknown>) => void): boolean => {
      const document = structuredClone(documentOf('A2'))
      const [check] = document['checks'] as Record<string, unknown>[]
      if (check !== undefined) change(check)
      return validate(document)
    }
    expect(spoilt(() => undefined)).toBe(true)
    expect(spoilt((check) => (check['kind'] = 'memroy'))).toBe(false)
    expect(spoilt((check) => (check['bytez'] = 1))).toBe(false)
    expect(spoilt((check) => (check['stackBytes'] = 'many'))).toBe(false)
  })
})
