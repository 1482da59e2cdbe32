import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { hexDumpLine, makeImage, parseHexDump, writeHexDump, type ImageReading } from '../../../core/image/index.ts'

const ram = [{ from: 0x4000, to: 0x47ff }]

function read(text: string, more: { maxBytes?: number; allowed?: typeof ram } = {}): ImageReading {
  return parseHexDump(text, { origin: 0x4000, ...more })
}

/** `4000=3E05 4010=76`: what was loaded, in the notation of the reference tables. */
function loaded(reading: ImageReading): string {
  return reading.image.segments
    .map(
      ({ start, bytes }) => `${start.toString(16).toUpperCase()}=${Buffer.from(bytes).toString('hex').toUpperCase()}`,
    )
    .join(' ')
}

/** `2:4 odd-digit`: place and code of each problem. */
function problems(reading: ImageReading): string[] {
  return reading.problems.map(({ at, code }) => `${at.line}:${at.column} ${code}`)
}

describe('a dump without addresses', () => {
  test.each([
    ['3E 05 06 03 80 10 FD 76', '4000=3E0506038010FD76'],
    ['3E050603 8010FD76', '4000=3E0506038010FD76'],
    ['3e 05\n06 03\r\n80 10\rFD 76', '4000=3E0506038010FD76'],
    ['\t3E\t05 ; LD A,5\n; nothing here\n\n76', '4000=3E0576'],
    ['\uFEFF3E 05', '4000=3E05'],
    ['3E05 0603\n8010 76', '4000=3E0506038010' + '76'],
  ])('%j loads %s', (text, wanted) => {
    expect(problems(read(text))).toEqual([])
    expect(loaded(read(text))).toBe(wanted)
  })
})

describe('a dump with addresses', () => {
  test.each([
    ['4000: 3E 05\n4010: 76', '4000=3E05 4010=76'],
    ['4000 3E 05\n4010 76', '4000=3E05 4010=76'],
    ['4000:3E05', '4000=3E05'],
    ['4000 : 3E 05\n76', '4000=3E0576'],
    ['4010: 76\n4000: 3E 05', '4000=3E05 4010=76'],
    ['4000: 3E\n4001: 05', '4000=3E05'],
  ])('%j loads %s', (text, wanted) => {
    expect(problems(read(text))).toEqual([])
    expect(loaded(read(text))).toBe(wanted)
  })

  test('each line of bytes tells where it stands and from which line of the text it is', () => {
    expect(read('; depot\n4000: 3E 05\n\n76').lines).toEqual([
      { line: 2, address: 0x4000, bytes: [0x3e, 5] },
      { line: 4, address: 0x4002, bytes: [0x76] },
    ])
  })
})

describe('what cannot be read is named with its place', () => {
  test.each([
    ['3E 0 76', ['1:4 odd-digit']],
    ['3E0 76', ['1:1 odd-digit']],
    ['3E 05\n06 0G 8X', ['2:5 bad-character', '2:8 bad-character']],
    ['3E O5', ['1:4 bad-character']],
    ['3E “5', ['1:4 bad-character']],
    ['3E,05', ['1:3 bad-character']],
    ['400: 3E', ['1:1 bad-address']],
    ['40O0: 3E\n76', ['1:1 bad-address']],
    [':0A1800', ['1:1 bad-address']],
    ['4000: 3E 05\n4001: 06', ['2:7 overlap']],
    ['4000: 3E 05\n4001: 05', ['2:7 overlap']],
    ['FFFF: 3E 05', ['1:7 past-end']],
    ['', ['1:1 empty']],
    ['; only words\n\n', ['1:1 empty']],
  ])('%j gives %j', (text, wanted) => {
    expect(problems(read(text))).toEqual(wanted)
  })

  test('a single digit is met with the byte it may stand for', () => {
    expect(read('3E 5').problems[0]).toMatchObject({
      found: '5',
      message:
        '5 is half a byte. A byte is two hexadecimal digits: write 05 for the value 5h, or add the missing digit.',
    })
  })

  test('letters that look like digits are met with the digit', () => {
    expect(read('3E O5').problems[0]?.message).toBe(
      "'O' is no hexadecimal digit. Allowed are 0 to 9 and A to F; was the digit 0 meant?",
    )
  })

  test('one bad line does not hide the good ones', () => {
    expect(loaded(read('4000: 3E 05\n4002: XX 03\n4004: 80'))).toBe('4000=3E05000380')
  })

  test('an overlap says which line was first and what both want', () => {
    expect(read('4000: 3E 05\n4001: 06').problems[0]?.message).toBe(
      'Two different bytes for 4001h: line 1 has put 05 there, this line wants 06.',
    )
  })
})

describe('limits', () => {
  test('addresses outside RAM are named as far as they lie outside', () => {
    const reading = read('3FFE: 01 02 03 04', { allowed: ram })
    expect(reading.problems).toMatchObject([
      { code: 'out-of-place', found: '3FFEh to 3FFFh', allowed: '4000h to 47FFh' },
    ])
    expect(problems(read('4000: 01\n47FF: 02', { allowed: ram }))).toEqual([])
    expect(read('47FF: 01 02', { allowed: ram }).problems).toMatchObject([{ found: '4800h' }])
  })

  test('as many bytes as allowed load, one more is refused', () => {
    expect(problems(read('01 02 03', { maxBytes: 3 }))).toEqual([])
    expect(problems(read('01 02\n03 04\n05', { maxBytes: 3 }))).toEqual(['2:1 too-many-bytes'])
  })

  test('5 MB are refused unread, whatever they are', () => {
    expect(problems(read('3E '.repeat(1_750_000)))).toEqual(['1:1 text-too-long'])
  })

  test('a spoiled text of many lines is reported in part, with the rest counted', () => {
    const list = read('XX\n'.repeat(1000)).problems
    expect(list).toHaveLength(201)
    expect(list.at(-1)).toMatchObject({ code: 'more-problems', found: '1,800 further problems' })
  })
})

describe('check bytes of a keying sheet', () => {
  // Worked example of the project's own notes on the trade; S and W are our rule, so the arithmetic is the only source.
  const line = '4000: 3E 05 06 03 80 10 FD 76  S=4F W=E1'

  test('the line of the first exercise has S=4F and W=E1', () => {
    expect(hexDumpLine(0x4000, [0x3e, 5, 6, 3, 0x80, 0x10, 0xfd, 0x76], { hasChecks: true })).toBe(line)
  })

  test('they are read and compared, in any dump', () => {
    expect(problems(read(line))).toEqual([])
    expect(loaded(read(line))).toBe('4000=3E0506038010FD76')
    expect(problems(read(line.replace('80', '08')))).toEqual(['1:32 bad-check-byte'])
  })

  test('two bytes that changed places are told from a wrong byte', () => {
    expect(read('05 3E  S=43 W=48').problems[0]?.message).toBe(
      'The bytes of this line add up rightly (S=43), but W comes to 81h where 48h is written: two bytes have probably changed places.',
    )
  })

  test('S catches every single wrong byte, W every swap of unlike neighbours', () => {
    const bytes = fc.array(fc.integer({ min: 0, max: 255 }), { minLength: 2, maxLength: 8 })
    fc.assert(
      fc.property(bytes, fc.nat(), fc.integer({ min: 1, max: 255 }), (good, seed, change) => {
        const sheet = hexDumpLine(0, good, { hasChecks: true })
        const checks = sheet.slice(sheet.indexOf('S='))
        const at = seed % good.length
        const wrong = good.with(at, ((good[at] ?? 0) + change) & 0xff)
        expect(problems(read(`${hexDumpLine(0, wrong)} ${checks}`))).toHaveLength(1)
        const left = seed % (good.length - 1)
        const swapped = good.with(left, good[left + 1] ?? 0).with(left + 1, good[left] ?? 0)
        const isSame = good[left] === good[left + 1]
        expect(problems(read(`${hexDumpLine(0, swapped)} ${checks}`))).toHaveLength(isSame ? 0 : 1)
      }),
    )
  })
})

describe('laws', () => {
  const image = fc
    .array(
      fc.record({ start: fc.integer({ min: 0, max: 0xff00 }), bytes: fc.uint8Array({ minLength: 1, maxLength: 40 }) }),
      { minLength: 1, maxLength: 5 },
    )
    .map(makeImage)

  test('reading what was written gives the image back, with or without check bytes', () => {
    fc.assert(
      fc.property(image, fc.integer({ min: 1, max: 8 }), fc.boolean(), (given, perLine, hasChecks) => {
        expect(read(writeHexDump(given, { perLine, hasChecks })).image).toEqual(given)
      }),
    )
  })

  test('no text makes it throw', () => {
    fc.assert(
      fc.property(fc.string({ unit: 'binary' }), (text) => {
        read(text)
      }),
    )
  })
})

test.each(['\t', ' :', 'A ', '\tS='])('a hand-in full of %j is read in the blink of an eye', (part) => {
  const before = process.cpuUsage()
  parseHexDump(part.repeat(65_536 / part.length), { origin: 0x4000 })
  // One that looks at each blank again for every other takes two seconds.
  expect(process.cpuUsage(before).user).toBeLessThan(500_000)
})
