import { spawnSync } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { instructionSet } from '../../../core/cpu/index.ts'
import { disassembleAt, namesFrom, type NameOf } from '../../../core/disassembler/index.ts'
import { referenceRows } from '../image/reference.ts'

function at(bytes: readonly number[], address = 0, nameOf?: NameOf) {
  return disassembleAt((from) => bytes[from - address] ?? 0, address, nameOf)
}

function bytesOf(hex: string): number[] {
  return hex.split(' ').map((byte) => parseInt(byte, 16))
}

/** Numbers as decimal, small letters, no blanks: what two disassemblers must agree on. */
function plain(text: string, address = 0): string {
  return text
    .toLowerCase()
    .replace(/\$([+-][0-9]+)/g, (_, distance) => String((address + Number(distance)) & 0xffff))
    .replace(/\$/g, String(address))
    .replace(/\b0*([0-9a-f]+)h\b/g, (_, digits) => String(parseInt(digits, 16)))
    .replace(/\b0+(?=[0-9])/g, '')
    .replace(/\s+/g, ' ')
    .trim()
}

describe('one instruction', () => {
  test.each([
    ['3E 05', 'LD A,05H'],
    ['06 FF', 'LD B,0FFH'],
    ['21 CD AB', 'LD HL,0ABCDH'],
    ['DD 7E FE', 'LD A,(IX-2)'],
    ['FD 36 7F 05', 'LD (IY+127),05H'],
    ['DD CB 80 46', 'BIT 0,(IX-128)'],
    ['DD CB 05 00', 'RLC (IX+5),B'],
    ['18 FE', 'JR 0000H'],
    ['D3 20', 'OUT (20H),A'],
    ['FF', 'RST 38H'],
    ['DD DD', 'NOP'],
  ])('%s is %s', (hex, text) => {
    expect(at(bytesOf(hex)).text).toBe(text)
  })

  test('tells its T-states and what it refers to', () => {
    expect(at([0x10, 0xfe], 0x4000)).toMatchObject({
      ...{ text: 'DJNZ 4000H', tStates: 13, tStatesNotTaken: 8, isExact: true },
      refersTo: { address: 0x4000, use: 'code' },
    })
    expect(at([0x3a, 0x00, 0x46]).refersTo).toEqual({ address: 0x4600, use: 'memory' })
    expect(at([0x21, 0x00, 0x46]).refersTo).toEqual({ address: 0x4600, use: 'number' })
    expect(at([0x00])).toMatchObject({ refersTo: null, tStatesNotTaken: null })
  })

  test('goes round at the end of memory', () => {
    const memory = new Map([
      [0xffff, 0x18],
      [0, 0x02],
    ])
    expect(disassembleAt((from) => memory.get(from) ?? 0, 0xffff)).toMatchObject({
      bytes: [0x18, 0x02],
      text: 'JR 0003H',
    })
  })

  test('uses names for what is called or stored to, and leaves numbers alone', () => {
    const names = namesFrom({ PAINT: 0x40, BUFFER: 0x4700 })
    expect(at([0xcd, 0x40, 0x00], 0, names).text).toBe('CALL PAINT')
    expect(at([0x32, 0x00, 0x47], 0, names).text).toBe('LD (BUFFER),A')
    expect(at([0x01, 0x40, 0x00], 0, names).text).toBe('LD BC,0040H')
  })

  test('no two encodings that are called exact have one text', () => {
    const texts = instructionSet.filter(({ isAlias }) => isAlias !== true).map(({ text }) => text)
    expect(new Set(texts).size).toBe(texts.length)
  })
})

describe('against the assembler text of the reference table', () => {
  // tests/fixtures/reference/z80-encodings.csv: `disassemblers_agree` names those of z80dasm 1.1.6, objdump of binutils
  // 2.40 and z80ex_dasm 1.1.21 that gave this text.
  const rows = referenceRows('z80-encodings.csv')

  test('every line with a disassembler behind it reads the same here', () => {
    const agreed = rows.filter((row) => row.disassemblers_agree !== '')
    const wrong = agreed.flatMap((row) => {
      const { text } = at(bytesOf(row.bytes ?? ''))
      return plain(text) === plain(row.mnemonic ?? '') ? [] : [`${row.bytes}: ${text}, not ${row.mnemonic}`]
    })
    expect(agreed.length).toBeGreaterThan(1500)
    expect(wrong).toEqual([])
  })
})

const hasZ80dasm = spawnSync('z80dasm', ['--version']).error === undefined
if (!hasZ80dasm) console.log('skipped: the comparison with z80dasm, because it is not installed')

describe.skipIf(!hasZ80dasm)('against z80dasm', () => {
  const origin = 0x4000

  /** Every documented instruction once, its operand bytes drawn from a fixed seed. */
  function everything(seed: number): number[] {
    let state = seed
    const draw = () => (state = (Math.imul(state, 1_664_525) + 1_013_904_223) >>> 0) >>> 24
    return instructionSet
      .filter(({ isDocumented, isAlias }) => isDocumented && isAlias !== true)
      .flatMap(({ encoding }) => encoding.map((byte) => (typeof byte === 'number' ? byte : draw())))
  }

  /** Address and text of each line that z80dasm prints. */
  function z80dasm(bytes: readonly number[]): { source: string; lines: Map<number, string> } {
    const folder = mkdtempSync(join(tmpdir(), 'hexcairn-z80dasm-'))
    try {
      // Some NOPs behind: z80dasm prints an indexed instruction at the very end as bytes.
      writeFileSync(join(folder, 'image'), Uint8Array.from([...bytes, 0, 0, 0, 0]))
      const { stdout } = spawnSync('z80dasm', ['-a', '-g', `0x${origin.toString(16)}`, join(folder, 'image')], {
        encoding: 'utf8',
      })
      const lines = new Map<number, string>()
      for (const [, text = '', address = ''] of stdout.matchAll(/^\t([^;\n]+?)\s*;([0-9a-f]{4})$/gm))
        lines.set(parseInt(address, 16), text)
      return { source: stdout, lines }
    } finally {
      rmSync(folder, { recursive: true })
    }
  }

  test.each([1, 2, 3])('each documented instruction reads the same (seed %i)', (seed) => {
    const bytes = everything(seed)
    const { lines } = z80dasm(bytes)
    const wrong: string[] = []
    let count = 0
    for (let offset = 0; offset < bytes.length; count += 1) {
      const address = origin + offset
      const ours = disassembleAt((from) => bytes[from - origin] ?? 0, address)
      const theirs = lines.get(address)
      if (theirs === undefined || plain(ours.text) !== plain(theirs, address))
        wrong.push(`${address.toString(16)}: ${ours.text}, z80dasm ${theirs}`)
      offset += ours.bytes.length
    }
    expect(wrong).toEqual([])
    expect(count).toBeGreaterThan(650)
  })

  test.each([4, 5])('what z80dasm prints is assembled to the same bytes (seed %i)', (seed) => {
    const bytes = everything(seed)
    const program = assemble(z80dasm(bytes).source, { origin: 0 })
    expect(program.problems).toEqual([])
    expect(Array.from(program.image.segments[0]?.bytes ?? [])).toEqual([...bytes, 0, 0, 0, 0])
  })
})
