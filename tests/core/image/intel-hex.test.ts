import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import {
  debatable,
  makeImage,
  parseIntelHex,
  ProblemList,
  readIntelHexRecord,
  writeIntelHex,
  type ImageReading,
} from '../../../core/image/index.ts'
import { referenceRows } from './reference.ts'

const end = ':00000001FF'

function severities(reading: { problems: ImageReading['problems'] }): 'error' | 'warning' | 'none' {
  if (reading.problems.some(({ severity }) => severity === 'error')) return 'error'
  return reading.problems.length > 0 ? 'warning' : 'none'
}

function memory(reading: ImageReading): string {
  const parts = reading.image.segments.map(
    ({ start, bytes }) =>
      `${start.toString(16).toUpperCase().padStart(4, '0')}=${Buffer.from(bytes).toString('hex').toUpperCase()}`,
  )
  if (reading.start !== null) parts.push(`start=${reading.start.toString(16).toUpperCase()}`)
  return parts.join(' ')
}

// tests/fixtures/reference/intel-hex.csv: valid records by GNU objcopy 2.40 and srecord 1.64, invalid ones by the rule.
const records = referenceRows('intel-hex.csv')

describe('single records', () => {
  test.each(records.filter((row) => row.verdict === 'valid'))('$record is read', (row) => {
    const problems = new ProblemList()
    expect(readIntelHexRecord(row.record ?? '', 1, problems)).toEqual({
      type: Number(row.type),
      address: parseInt(row.address ?? '', 16),
      data: [...Buffer.from(row.data ?? '', 'hex')],
    })
    expect(problems.toArray()).toEqual([])
  })

  test.each(records.filter((row) => row.verdict === 'invalid'))('$record is refused: $reason', (row) => {
    const problems = new ProblemList()
    expect(readIntelHexRecord(row.record ?? '', 1, problems)).toBeNull()
    expect(problems.hasErrors).toBe(true)
    // Alone or within a file that is whole otherwise: the verdict is the same.
    expect(severities(parseIntelHex(`:010000007689\n${row.record}\n${end}`))).toBe('error')
  })
})

/** The record stands where its question arises: before the end record, and with data after it where the question is that. */
const debatableRecords: Readonly<Record<string, { name: keyof typeof debatable; file: (record: string) => string }>> = {
  'lower-case digits': { name: 'lowerCaseDigits', file: (record) => `${record}\n${end}` },
  'data record without data': { name: 'noData', file: (record) => `:010000007689\n${record}\n${end}` },
  'end record with an address': { name: 'addressInEnd', file: (record) => `:010000007689\n${record}` },
  'data runs past FFFF': { name: 'pastEnd', file: (record) => `${record}\n${end}` },
  'upper address 0001': { name: 'upperAddress', file: (record) => `${record}\n:010000007689\n${end}` },
  'type 04 with an address': { name: 'addressInUpper', file: (record) => `${record}\n:010000007689\n${end}` },
  'blanks before the colon': { name: 'blanksBefore', file: (record) => `${record}\n${end}` },
  'blanks after the checksum': { name: 'blanksAfter', file: (record) => `${record}\n${end}` },
  'text after the checksum': { name: 'textAfter', file: (record) => `${record}\n${end}` },
}

const severityOf = { accept: 'none', warn: 'warning', reject: 'error' } as const

describe('debatable records get the one verdict of the table', () => {
  const rows = records.filter((row) => row.verdict === 'debatable')

  test('there are nine, and each is known here', () => {
    expect(rows).toHaveLength(9)
  })

  test.each(rows)('$record', (row) => {
    const [, known] = Object.entries(debatableRecords).find(([reason]) => row.reason?.startsWith(reason)) ?? []
    expect(known).toBeDefined()
    if (known === undefined) return
    const { verdict } = debatable[known.name]
    // The table's own suggestion, where it says "accept or warn" either is one.
    const suggested = row.reason?.replace(/^.*suggested: /, '')
    expect(suggested).toContain(verdict)
    expect(severities(parseIntelHex(known.file(row.record ?? '')))).toBe(severityOf[verdict])
  })

  test('upper address 0001 without data after it does no harm', () => {
    expect(severities(parseIntelHex(`:010000007689\n:020000040001F9\n${end}`))).toBe('none')
  })
})

const debatableFiles: Readonly<Record<string, keyof typeof debatable>> = {
  'CR line ends only': 'returnOnly',
  'end record alone': 'endAlone',
  'data after the end record': 'afterEnd',
  'two end records': 'endTwice',
  'same address twice, other value': 'overwritten',
  'same record twice': 'sameAgain',
  'text line before the first record': 'textBetween',
  'byte order mark in front': 'byteOrderMark',
}

describe('whole files', () => {
  const rows = referenceRows('intel-hex-files.csv').map(({ name = '', verdict, memory = '', text = '' }) => ({
    ...{ name, verdict, memory },
    text: text
      .replace(/\\n/g, '\n')
      .replace(/\\r/g, '\r')
      .replace(/\\uFEFF/g, '\uFEFF'),
  }))

  test.each(rows.filter((row) => row.verdict === 'valid'))('$name is read', ({ text, memory: wanted }) => {
    const reading = parseIntelHex(text)
    expect(reading.problems).toEqual([])
    expect(memory(reading)).toBe(wanted)
  })

  test.each(rows.filter((row) => row.verdict === 'invalid'))('$name is refused', ({ text }) => {
    expect(severities(parseIntelHex(text))).toBe('error')
  })

  test.each(rows.filter((row) => row.verdict === 'debatable'))('$name gets the verdict of the table', (row) => {
    const name = debatableFiles[row.name]
    expect(name).toBeDefined()
    if (name === undefined) return
    const reading = parseIntelHex(row.text)
    expect(severities(reading)).toBe(severityOf[debatable[name].verdict])
    if (row.memory !== '') expect(memory(reading)).toBe(row.memory)
  })
})

describe('messages', () => {
  test.each([
    [
      ':0A1800003E5A0605D3013D20FBC947',
      'The checksum is 47, but the bytes of this record need 46. One of the digits of the record is wrong.',
    ],
    [
      ':OA1800003E5A0605D3013D20FBC946',
      "'O' may not stand inside a record. Allowed are the digits 0 to 9 and A to F. Was the digit 0 meant?",
    ],
    [':091800003E5A0605D3013D20FBC947', 'The count 09 promises 9 data bytes, but 10 stand there before the checksum.'],
  ])('%s', (record, message) => {
    expect(parseIntelHex(`${record}\n${end}`).problems[0]?.message).toBe(message)
  })

  test('every bad character of a record is named by its column', () => {
    expect(parseIntelHex(`:0A1800003E5G06H5D3013D20FBC946`).problems.map(({ at }) => at.column)).toEqual([13, 16])
  })

  test('a missing end record is said at the end of the text', () => {
    expect(parseIntelHex(':0A1800003E5A0605D3013D20FBC946\n').problems).toMatchObject([
      { code: 'no-end-record', at: { line: 1 } },
    ])
  })
})

describe('start addresses', () => {
  test('an end record with an address names the start', () => {
    expect(parseIntelHex(':0A1800003E5A0605D3013D20FBC946\n:00180001E7').start).toBe(0x1800)
  })

  test('CS:IP is turned into an address', () => {
    expect(parseIntelHex(`:010000007689\n:040000030180000078\n${end}`).start).toBe(0x1800)
  })

  test('a start above FFFFh is left out with a warning', () => {
    const reading = parseIntelHex(`:010000007689\n:040000052468ACF0CF\n${end}`)
    expect(reading).toMatchObject({ start: null, problems: [{ severity: 'warning', code: 'start-outside' }] })
  })
})

describe('laws', () => {
  const image = fc
    .array(
      fc.record({ start: fc.integer({ min: 0, max: 0xff00 }), bytes: fc.uint8Array({ minLength: 1, maxLength: 255 }) }),
      { minLength: 1, maxLength: 5 },
    )
    .map(makeImage)

  test('reading what was written gives the image back', () => {
    fc.assert(
      fc.property(
        image,
        fc.integer({ min: 1, max: 255 }),
        fc.integer({ min: 0, max: 0xffff }),
        (given, perRecord, start) => {
          expect(parseIntelHex(writeIntelHex(given, { perRecord, start }))).toMatchObject({
            image: given,
            start,
            problems: [],
          })
        },
      ),
    )
  })

  test('a digit changed anywhere is never taken for good', () => {
    fc.assert(
      fc.property(image, fc.nat(), fc.integer({ min: 1, max: 15 }), (given, seed, change) => {
        const text = writeIntelHex(given)
        const digits = [...text.matchAll(/[0-9A-F]/g)].map(({ index }) => index)
        const at = digits[seed % digits.length] ?? 0
        const other = ((parseInt(text[at] ?? '0', 16) + change) % 16).toString(16).toUpperCase()
        expect(severities(parseIntelHex(text.slice(0, at) + other + text.slice(at + 1)))).toBe('error')
      }),
    )
  })

  test('no text makes it throw', () => {
    fc.assert(
      fc.property(fc.string({ unit: fc.constantFrom(...':0123456789ABCDEFG \n\r') }), (text) => {
        parseIntelHex(text)
      }),
    )
  })
})
