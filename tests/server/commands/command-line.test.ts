import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { hexcairn, root } from './hexcairn.ts'

const depot = join(root, 'prisma/seed/tram-depot')
const folder = mkdtempSync(join(tmpdir(), 'hexcairn-commands-'))
afterAll(() => rmSync(folder, { recursive: true }))

function file(name: string, text: string): string {
  const path = join(folder, name)
  writeFileSync(path, text)
  return path
}

// The sum by hand: 5 + 3 + 2 + 1 = 0Bh.
const adder = ' LD A,5\n LD B,3\nLOOP: ADD A,B\n DJNZ LOOP\n HALT\n'

describe('hexcairn grade', () => {
  test('ends with 0 for full marks, 1 for less', () => {
    expect(hexcairn(['grade', 'C1', join(depot, 'C1/model.asm')])).toMatchObject({ code: 0, err: '' })
    const wrong = hexcairn(['grade', join(depot, 'C1'), join(depot, 'C1/wrong-port.asm')])
    expect(wrong.code).toBe(1)
    expect(wrong.out).toMatch(/measured silence; wanted 1,000 Hz/)
  })

  test('prints one JSON document and nothing else', () => {
    const { code, out, err } = hexcairn(['grade', 'A1', join(depot, 'A1/model.hex'), '--json'])
    expect({ code, err }).toEqual({ code: 0, err: '' })
    expect(JSON.parse(out)).toMatchObject({ format: 'hexcairn-report/1', score: 100, isFullMarks: true })
  })

  test('ends with 2 for a program that cannot be read, each slip with its line and column', () => {
    const { code, err } = hexcairn(['grade', 'A1', file('odd.hex', '3E 05 06 0\n80 1G FD 76\n')])
    expect(code).toBe(2)
    expect(err).toMatch(/odd\.hex:1:10: error: /)
    expect(err).toMatch(/odd\.hex:2:5: error: /)
  })

  test('ends with 2 for an exercise with an unknown check, and names line, finding and choice', () => {
    const text = readFileSync(join(depot, 'A2/exercise.yaml'), 'utf8').replace('kind: memory', 'kind: memmory')
    const exercise = file('exercise.yaml', text.replace('file: model.asm', `format: assembly, text: "HALT"`))
    const plain = hexcairn(['grade', exercise, join(depot, 'A2/model.asm')])
    expect(plain.code).toBe(2)
    expect(plain.err).toMatch(/exercise\.yaml:\d+:\d+: error: .*memmory.*memory/)
    const json = hexcairn(['grade', exercise, join(depot, 'A2/model.asm'), '--json'])
    expect(json.code).toBe(2)
    expect(JSON.parse(json.out)).toMatchObject({ isOk: false, problem: { code: 'exercise-document-wrong' } })
  })

  test('reads the names of a student’s own constants in an answer of the author’s only', () => {
    const text = readFileSync(join(depot, 'A2/exercise.yaml'), 'utf8')
    const model = readFileSync(join(depot, 'A2/model.asm'), 'utf8')
    const inline = `model: { format: assembly, text: ${JSON.stringify(model)} }\nconstants: [{ name: place, of: [18176] }]\n`
    const exercise = file('own.yaml', text.replace(/^model: .*$/m, inline))
    const answer = file('own.asm', `PLACES EQU PLACE\n${model}`)
    expect(hexcairn(['grade', exercise, answer, '--staff'])).toMatchObject({ code: 0, err: '' })
    const asStudent = hexcairn(['grade', exercise, answer])
    expect(asStudent.code).toBe(2)
    expect(asStudent.err).toContain('PLACE')
  })

  test('ends with 2 for an exercise or a program that is not there', () => {
    expect(hexcairn(['grade', 'Z9', 'nothing.asm'])).toMatchObject({ code: 2 })
    expect(hexcairn(['grade', 'A1', 'nothing.asm']).err).toContain('There is no file nothing.asm')
  })
})

describe('hexcairn assemble and disassemble', () => {
  test('lead from text to bytes and back', () => {
    expect(hexcairn(['assemble', '-'], adder).out).toBe('4000: 3E 05 06 03 80 10 FD 76\n')
    const text = hexcairn(['disassemble', '-', '--origin', '4100'], '3E 05 06 03 80 10 FD 76').out
    expect(text).toMatch(/ORG\s+4100H/i)
    expect(hexcairn(['assemble', '-'], text).out).toBe('4100: 3E 05 06 03 80 10 FD 76\n')
  })

  test('write Intel HEX, binary or a hex dump by the ending', () => {
    const source = file('adder.asm', adder)
    for (const ending of ['ihx', 'bin', 'txt'])
      expect(hexcairn(['assemble', source, '-o', join(folder, `adder.${ending}`)]).code).toBe(0)
    expect(readFileSync(join(folder, 'adder.ihx'), 'utf8')).toMatch(/^:084000003E05060380.*\n[^]*:00000001FF\n$/)
    expect(readFileSync(join(folder, 'adder.bin')).toString('hex')).toBe('3e050603' + '8010fd76')
    expect(readFileSync(join(folder, 'adder.txt'), 'utf8')).toBe('4000: 3E 05 06 03 80 10 FD 76\n')
  })

  test('tell every mistake, and end with 2', () => {
    const { code, err } = hexcairn(['assemble', '-'], ' LD A,256\n NOPE\n JR 5000h\n')
    expect(code).toBe(2)
    expect(err.match(/^-:\d+:\d+: error: /gm)).toHaveLength(3)
  })

  test('print a listing with T-states', () => {
    expect(hexcairn(['assemble', '-', '--listing'], adder).out).toMatch(/4005\s+10 FD\s+13\/8\s+4\s+DJNZ LOOP/)
  })
})

describe('hexcairn run', () => {
  test('says how the program ended and what it left', () => {
    const { code, out } = hexcairn(['run', '-', '--json'], adder)
    expect(code).toBe(0)
    // T-states by the manual's table: 7 + 7 + 3 · 4 + 2 · 13 + 8 + 4.
    expect(JSON.parse(out)).toMatchObject({ end: { kind: 'halted' }, tStates: 64, steps: 9, registers: { bc: 0 } })
    expect(JSON.parse(out).registers.af >> 8).toBe(0x0b)
  })

  test('stops a program that never ends at its budget, and names the loop', () => {
    const { code, out } = hexcairn(['run', '-', '--t-states', '100000'], 'L1: OUT (22h),A\n XOR 1\n JP L1\n')
    expect(code).toBe(0)
    expect(out).toContain('loop 4000 to 4004')
  })
})

describe('hexcairn sheet and compare', () => {
  test('a keying sheet can be read back as the program it was made from', () => {
    const source = file('keyed.asm', adder)
    const keyed = hexcairn(['sheet', source, '--kind', 'keying']).out
    // S = sum of the bytes, W = sum of place times byte, both modulo 256; worked out by hand.
    expect(keyed).toContain('4000: 3E 05 06 03 80 10 FD 76  S=4F W=E1')
    expect(hexcairn(['compare', source, '-'], keyed)).toMatchObject({ code: 0 })
    const slipped = hexcairn(['compare', source, '-'], '4000: 3E 05 06 03 80 10 DF 76')
    expect(slipped.code).toBe(1)
    expect(slipped.out).toContain('4006h')
  })

  test('words that are none of the choices end with 2 and name the choices', () => {
    const { code, err } = hexcairn(['sheet', '-', '--kind', 'keys'], adder)
    expect(code).toBe(2)
    expect(err).toContain('keying, hand-assembly, displacement, delay')
    expect(hexcairn(['nonsense']).code).toBe(2)
  })
})
