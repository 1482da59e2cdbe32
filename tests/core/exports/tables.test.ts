import { parse } from 'csv-parse/sync'
import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { namesFrom } from '../../../core/disassembler/index.ts'
import { csv, listingCsv, stepTableCsv } from '../../../core/exports/index.ts'
import { record } from '../../../core/run/index.ts'
import { allSteps, busy, request } from '../run/programs.ts'

/** Read by an outside reader that holds to RFC 4180: CRLF, quotes, the same number of fields in every line. */
const read = (text: string): Record<string, string>[] => parse(text, { columns: true, record_delimiter: '\r\n' })

describe('a table as CSV', () => {
  test('CRLF behind every line, quotes where they are needed, quotes doubled', () => {
    expect(
      csv(
        ['a', 'b'],
        [
          ['x,y', 'say "no"'],
          ['two\nlines', null],
        ],
      ),
    ).toBe('a,b\r\n"x,y","say ""no"""\r\n"two\nlines",\r\n')
  })

  // The list of domain notes §1.3: = + - @ TAB NUL; CR and LF lead to a new cell in some programs and are taken along.
  test.each(['=1+1', '+1', '-1', '@SUM(A1)', '\tx', '\0x'])(
    'text that begins as a formula does is guarded: %j',
    (text) => {
      const [row] = read(csv(['a'], [[text]]))
      expect(row?.['a']).toBe(`'${text}`)
    },
  )

  test('numbers are no text: a minus of theirs stays', () => {
    expect(csv(['a'], [[-5], [0.25]])).toBe('a\r\n-5\r\n0.25\r\n')
    expect(csv(['a'], [])).toBe('a\r\n')
  })
})

describe('a listing', () => {
  test('has a row for each line with address, bytes and T-states', () => {
    const program = assemble('START: LD A,5 ; "fare", first\nLOOP: DJNZ LOOP\n DB "=x"\n ; only words\n', {
      origin: 0x4000,
    })
    const rows = read(listingCsv(program))
    expect(rows).toHaveLength(program.listing.length)
    expect(rows[0]).toEqual({
      ...{ Line: '1', Address: '4000h', Bytes: '3E 05', 'T-states': '7', 'T-states not taken': '', Label: 'START' },
      Source: 'START: LD A,5 ; "fare", first',
    })
    expect(rows[1]).toMatchObject({ 'T-states': '13', 'T-states not taken': '8', Bytes: '10 FE' })
    expect(rows[3]).toMatchObject({ Address: '', Bytes: '', Source: ' ; only words' })
  })

  test('a comment made to be taken for a formula is none', () => {
    const program = assemble('=cmd', { origin: 0x4000 })
    expect(read(listingCsv(program))[0]?.['Source']).toBe("'=cmd")
  })
})

describe('the steps of a run', () => {
  const recording = record(busy)
  const steps = allSteps(recording)

  test('each with what it was and what it left behind', () => {
    const rows = read(stepTableCsv(recording, 3, 14_003))
    expect(rows).toHaveLength(14_000)
    rows.forEach((row, k) => {
      const step = steps[k + 3]
      const hex = (value = 0) => `${value.toString(16).toUpperCase().padStart(4, '0')}h`
      if (step === undefined) throw new Error(`${k}`)
      const found = [
        row['Step'],
        row['T'],
        row['T-states'],
        row['Address'],
        row['AF'],
        row['HL'],
        row['SP'],
        row["BC'"],
      ]
      const { after } = step
      const wanted = [
        step.step,
        step.t,
        step.tStates,
        hex(step.pc),
        hex(after.af),
        hex(after.hl),
        hex(after.sp),
        hex(after.bc_),
      ]
      if (found.join() !== wanted.join()) expect(found).toEqual(wanted.map(String))
    })
    expect(new Set(rows.map((row) => row['Instruction']))).toContain('interrupt accepted')
    expect(new Set(rows.map((row) => row['Instruction']))).toContain('waiting in HALT')
  })

  test('names for addresses, lines of the program, bytes written', () => {
    const text = ' LD HL,4600H ; where\n LD (HL),7\n CALL GLYPH\n HALT\n'
    const program = assemble(text, { origin: 0x4000, symbols: { GLYPH: 0x60 } })
    const run = record({ ...request('NOP | HALT'), image: program.image })
    const rows = read(stepTableCsv(run, 0, 3, { nameOf: namesFrom({ GLYPH: 0x60 }), listing: program.listing }))
    expect(rows[0]).toMatchObject({ Line: '1', Source: 'LD HL,4600H ; where', Instruction: 'LD HL,4600H' })
    expect(rows[1]).toMatchObject({ Line: '2', 'Memory written': '4600h: 07h' })
    expect(rows[2]).toMatchObject({ Instruction: 'CALL GLYPH', 'Memory written': '47FFh: 40h; 47FEh: 08h' })
  })

  test('a span outside the run is cut to it', () => {
    expect(read(stepTableCsv(recording, recording.result.steps - 2, 1e9))).toHaveLength(2)
    expect(read(stepTableCsv(recording, 50, 50))).toEqual([])
  })
})
