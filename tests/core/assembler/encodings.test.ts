import { describe, expect, test } from 'vitest'
import { referenceRows } from '../image/reference.ts'
import { bytes, outcome, problems, run } from './notation.ts'

// tests/fixtures/reference/z80-encodings.csv: what pasmo, z80asm, GNU as and sdasz80 make of each line.
const rows = referenceRows('z80-encodings.csv')
const isLongerDuplicate = (encoding: string | undefined) => /^ED (63|6B)/.test(encoding ?? '')

describe('every encoding that there is a spelling for', () => {
  test('each line gives its bytes', () => {
    const wrong = rows
      .filter((row) => !isLongerDuplicate(row.bytes))
      .flatMap((row) => {
        const program = run(row.mnemonic ?? '')
        const got = bytes(program)
        return got === row.bytes?.replaceAll(' ', '') && program.problems.length === 0
          ? []
          : [`${row.mnemonic}: ${got}`]
      })
    expect(rows).toHaveLength(1547)
    expect(wrong).toEqual([])
  })

  test.each(rows.filter((row) => isLongerDuplicate(row.bytes)))(
    '$mnemonic gets the shorter of its two encodings',
    (row) => {
      expect(outcome(row.mnemonic ?? '')).toBe(
        (row.bytes ?? '')
          .replace(/^ED 63/, '22')
          .replace(/^ED 6B/, '2A')
          .replaceAll(' ', ''),
      )
    },
  )

  test('all of them as one program give all of their bytes', () => {
    const plain = rows.filter((row) => !isLongerDuplicate(row.bytes))
    const program = run(plain.map((row) => row.mnemonic).join('\n'), { maxBytes: 0x2000 })
    expect(problems(program)).toEqual([])
    expect(bytes(program)).toBe(plain.map((row) => row.bytes?.replaceAll(' ', '')).join(''))
  })
})

describe('relative jumps', () => {
  // Common practice, no source: classroom examples of a jump from xx1D.
  test.each([
    ['back to xx02 is E3', 'ORG 4002H|BACK: NOP|ORG 401DH|JR NZ,BACK', '20E3'],
    ['back to xx00 is E1', 'ORG 4000H|BACK: NOP|ORG 401DH|DJNZ BACK', '10E1'],
  ])('from xx1D %s', (_, source, wanted) => {
    expect(bytes(run(source))).toContain(`401D=${wanted}`)
  })

  // Five displacements of a worksheet; e = target - (opcode address + 2).
  test.each([
    [0x4010, 0x4004, 'F2'],
    [0x4020, 0x4030, '0E'],
    [0x4040, 0x4040, 'FE'],
    [0x4050, 0x40d1, '7F'],
    [0x4100, 0x4082, '80'],
  ])('from %i to %i', (from, to, displacement) => {
    expect(bytes(run(`ORG ${from}|JR ${to}`))).toContain(`=18${displacement}`)
  })

  test('the distance goes round at the ends of memory, as the program counter does', () => {
    expect(outcome('JR 0FFFEH')).toBe('18FC')
    expect(bytes(run('ORG 0FFFEH|JR 2'))).toBe('FFFE=1802')
  })
})
