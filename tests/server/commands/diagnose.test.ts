import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { hexcairn, root } from './hexcairn.ts'

const depot = join(root, 'prisma/seed/tram-depot')

describe('hexcairn diagnose', () => {
  test('names the cause and the edit that would mend a failing program, and ends with 1', () => {
    const { code, out } = hexcairn(['diagnose', 'A1', join(depot, 'A1/wrong-displacement-from-next.hex')])
    expect(code).toBe(1)
    expect(out).toMatch(/^1\. /m)
    // The sheet's byte (domain of the exercise): the jump back over one instruction is FDh.
    expect(out).toMatch(/Nearest program that passes, at 4006.*-> FD/)
  })

  test('has nothing to say of a right answer, and ends with 0', () => {
    const { code, out } = hexcairn(['diagnose', 'A1', join(depot, 'A1/model.hex'), '--json'])
    expect(code).toBe(0)
    expect(JSON.parse(out)).toMatchObject({ score: 100, causes: [], repair: null, counterexample: null })
  })

  test('ends with 2 for a program that cannot be read', () => {
    expect(hexcairn(['diagnose', 'A1', '-'], '3E 0G')).toMatchObject({ code: 2 })
  })
})
