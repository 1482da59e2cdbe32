import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { hexDumpLine } from '../../../core/image/index.ts'
import { compareDump } from '../../../core/sheets/index.ts'

const source = '        LD A,5      ; five\n        LD B,3\nLOOP:   ADD A,B\n        DJNZ LOOP-1+1\n        HALT\n'
const program = readProgram({ format: 'assembly', text: source }, { origin: 0x4000 })
const good = [0x3e, 0x05, 0x06, 0x03, 0x80, 0x10, 0xfd, 0x76]

/** A memory dump from 4000h on, with 00 behind what was keyed. */
function dump(...bytes: readonly number[]): string {
  return hexDumpLine(0x4000, [...bytes, 0, 0, 0])
}

describe('a memory dump and the program', () => {
  test('that agree', () => {
    expect(compareDump(dump(...good), program)).toMatchObject({ isSame: true, first: null, slip: null })
    expect(compareDump('3E050603 8010FD76', program).isSame).toBe(true)
    expect(compareDump(':084000003E0506038010FD7669\n:00000001FF', program).isSame).toBe(true)
  })

  test('one wrong byte', () => {
    expect(compareDump(dump(...good.with(3, 8)), program)).toMatchObject({
      differences: 1,
      first: { address: 0x4003, found: 8, wanted: 3, line: { line: 2 } },
      slip: { kind: 'wrong', address: 0x4003, found: 8, wanted: 3 },
      message:
        'The first difference is at 4003h: 08 stands there, 03 should (line 2: LD B,3). It is the only one: one byte is wrong.',
    })
  })

  test('one missing byte', () => {
    expect(compareDump(dump(...good.toSpliced(2, 1)), program)).toMatchObject({
      slip: { kind: 'missing', address: 0x4002, wanted: 6 },
      message:
        'The first difference is at 4002h: 03 stands there, 06 should (line 2: LD B,3). One missing byte explains all 6 differences: 06 was left out at 4002h, and what follows stands one place too low.',
    })
  })

  test('one byte too many', () => {
    expect(compareDump(dump(...good.toSpliced(4, 0, 0xaa)), program)).toMatchObject({
      first: { address: 0x4004 },
      slip: { kind: 'extra', address: 0x4004, found: 0xaa },
    })
  })

  test('two neighbours that changed places', () => {
    expect(compareDump(dump(...good.with(1, 6).with(2, 5)), program)).toMatchObject({
      slip: { kind: 'swapped', address: 0x4001 },
      message:
        'The first difference is at 4001h: 06 stands there, 05 should (line 1: LD A,5). The bytes at 4001h and 4002h have changed places; all else is right.',
    })
  })

  test('two slips are called several', () => {
    expect(compareDump(dump(...good.with(1, 6).with(5, 0)), program)).toMatchObject({
      differences: 2,
      slip: { kind: 'several' },
    })
  })

  test('a dump that ends early is compared as far as it goes', () => {
    expect(compareDump('4000: 3E 05 06', program)).toMatchObject({
      isSame: false,
      differences: 0,
      notShown: 5,
      slip: null,
    })
    expect(compareDump('4000: 3E 05 06', program).message).toBe(
      'The dump has no byte for 4003h, where 03 should stand (line 2: LD B,3).',
    )
    expect(compareDump('4000: 3E 06', program)).toMatchObject({ notShown: 6, slip: { kind: 'wrong' } })
  })

  test('what cannot be read is told by place', () => {
    const { problems, message, isSame } = compareDump('4000: 3E 0', program)
    expect(isSame).toBe(false)
    expect(problems).toMatchObject([{ code: 'odd-digit', at: { line: 1, column: 10 } }])
    expect(message).toContain('The dump could not be read: 0 is half a byte.')
  })
})

describe('law: a slip put in is a slip found', () => {
  const bytes = fc.uint8Array({ minLength: 4, maxLength: 40 })
  const read = (some: ArrayLike<number>) =>
    readProgram({ format: 'hex', text: hexDumpLine(0x4000, some) }, { origin: 0x4000 })

  test('wrong, missing, extra, swapped', () => {
    fc.assert(
      fc.property(bytes, fc.nat(), fc.integer({ min: 1, max: 255 }), (some, seed, change) => {
        const given = [...some]
        const at = seed % (given.length - 1)
        const slips = {
          wrong: given.with(at, ((given[at] ?? 0) + change) & 0xff),
          missing: given.toSpliced(at, 1),
          extra: given.toSpliced(at, 0, change),
          swapped: given.with(at, given[at + 1] ?? 0).with(at + 1, given[at] ?? 0),
        }
        for (const [kind, keyed] of Object.entries(slips)) {
          const { isSame, slip, first, differences } = compareDump(hexDumpLine(0x4000, [...keyed, change]), read(given))
          if (isSame) continue
          // Another slip may look the same: a byte left out of a run of two is a wrong byte too.
          expect(slip?.kind).not.toBe('several')
          expect(first?.address).toBeGreaterThanOrEqual(0x4000 + at)
          if (kind === 'wrong') expect(slip).toMatchObject({ kind, address: 0x4000 + at })
          if (kind === 'swapped') expect(differences).toBe(2)
        }
      }),
    )
  })
})
