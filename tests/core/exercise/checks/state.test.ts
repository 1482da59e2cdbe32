import { describe, expect, test } from 'vitest'
import { outcome, tryCheck } from '../try-check.ts'

describe('registers', () => {
  const want = { want: { a: '0Bh', hl: 0x4602 } }
  test('passes on the wanted value and fails one above and one below', () => {
    expect(outcome('registers', want, { registers: { af: 0x0b00, hl: 0x4602 } })).toBe('passed')
    expect(outcome('registers', want, { registers: { af: 0x0c00, hl: 0x4602 } })).toBe('failed')
    expect(outcome('registers', want, { registers: { af: 0x0b00, hl: 0x4601 } })).toBe('failed')
  })
  test('says what was found and what was wanted', () => {
    const verdict = tryCheck('registers', want, { registers: { af: 0x0b00, hl: 0x4601 } })
    expect(verdict).toMatchObject({ measured: 'A = 0Bh, HL = 4601h', wanted: 'A = 0Bh, HL = 4602h' })
    expect(verdict.message).toBe('At the end HL = 4601h; wanted HL = 4602h.')
  })
  test('reads each half and each pair from its place', () => {
    const registers = {
      af: 0x0102,
      bc: 0x0304,
      de: 0x0506,
      hl: 0x0708,
      ix: 0x090a,
      iy: 0x0b0c,
      af_: 0x0d0e,
      sp: 0x4700,
    }
    const all = {
      a: 1,
      f: 2,
      b: 3,
      c: 4,
      d: 5,
      e: 6,
      h: 7,
      l: 8,
      ixh: 9,
      ixl: 10,
      iyh: 11,
      iyl: 12,
      af_: 0x0d0e,
      sp: 0x4700,
    }
    expect(outcome('registers', { want: all }, { registers })).toBe('passed')
  })
  test('takes what the model answer left', () => {
    const model = { registers: { bc: 0x1234 } }
    expect(outcome('registers', { want: { bc: 'model' } }, { registers: { bc: 0x1234 }, model })).toBe('passed')
    expect(outcome('registers', { want: { bc: 'model' } }, { registers: { bc: 0x1235 }, model })).toBe('failed')
  })
})

describe('flags', () => {
  test('looks at each bit of F', () => {
    const bits = { s: 7, z: 6, y: 5, h: 4, x: 3, pv: 2, n: 1, c: 0 }
    for (const [flag, bit] of Object.entries(bits)) {
      expect(outcome('flags', { want: { [flag]: 1 } }, { registers: { af: 1 << bit } })).toBe('passed')
      expect(outcome('flags', { want: { [flag]: 1 } }, { registers: { af: 0xff & ~(1 << bit) } })).toBe('failed')
    }
  })
})

describe('memory', () => {
  const want = { want: [{ at: '4600h', bytes: '37 73' }] }
  test('passes on the wanted bytes and names the first wrong one', () => {
    expect(outcome('memory', want, { memory: { 0x4600: [0x37, 0x73] } })).toBe('passed')
    const verdict = tryCheck('memory', want, { memory: { 0x4600: [0x37, 0x74] } })
    expect(verdict.message).toBe('At the end 4601h holds 74h; wanted 73h.')
  })
  test('finds a change elsewhere just outside the block and lets changes inside it be', () => {
    const unchanged = { ...want, elsewhere: 'unchanged' }
    const memoryBefore = {}
    expect(outcome('memory', unchanged, { memory: { 0x4600: [0x37, 0x73] }, memoryBefore })).toBe('passed')
    expect(outcome('memory', unchanged, { memory: { 0x4600: [0x37, 0x73, 1] }, memoryBefore })).toBe('failed')
    expect(outcome('memory', unchanged, { memory: { 0x45ff: [1, 0x37, 0x73] }, memoryBefore })).toBe('failed')
  })
  test('spares the bytes below the start of the stack, and one more is a change', () => {
    const unchanged = { elsewhere: 'unchanged', stackBytes: 4 }
    expect(outcome('memory', unchanged, { memory: { 0x47fc: [1, 1, 1, 1] }, memoryBefore: {} })).toBe('passed')
    expect(outcome('memory', unchanged, { memory: { 0x47fb: [1, 1, 1, 1, 1] }, memoryBefore: {} })).toBe('failed')
  })
  test('with noOtherWrite even a write of the same value counts', () => {
    const write = (address: number) => ({ kind: 'memory-write', t: 40, pc: 0x4005, address, value: 0 }) as const
    const strict = { ...want, noOtherWrite: true, stackBytes: 0 }
    const memory = { 0x4600: [0x37, 0x73] }
    expect(outcome('memory', strict, { memory, events: [write(0x4600), write(0x4601)] })).toBe('passed')
    const verdict = tryCheck('memory', strict, { memory, events: [write(0x4601), write(0x4602)] })
    expect(verdict).toMatchObject({ outcome: 'failed', at: { t: 40, address: 0x4005 } })
  })
  test('more addresses may change, from the first to the last one named', () => {
    const unchanged = { elsewhere: 'unchanged', except: [{ from: '4610h', to: '4612h' }] }
    const at = (address: number) => outcome('memory', unchanged, { memory: { [address]: [1] }, memoryBefore: {} })
    expect([0x460f, 0x4610, 0x4612, 0x4613].map(at)).toEqual(['failed', 'passed', 'passed', 'failed'])
  })
  test('ROM and places without memory are no RAM that could change, but a write there is a write', () => {
    const write = { kind: 'memory-write', t: 40, pc: 0x4005, address: 0x0010, value: 9 } as const
    expect(outcome('memory', { elsewhere: 'unchanged' }, { events: [write] })).toBe('passed')
    expect(outcome('memory', { noOtherWrite: true }, { events: [write] })).toBe('failed')
  })
  test('takes the bytes that the model answer left', () => {
    const fields = { want: [{ at: 0x4610, bytes: 'model', length: 2 }] }
    const model = { memory: { 0x4610: [1, 2] } }
    expect(outcome('memory', fields, { memory: { 0x4610: [1, 2, 9] }, model })).toBe('passed')
    expect(outcome('memory', fields, { memory: { 0x4610: [1, 3] }, model })).toBe('failed')
  })
})

describe('digit-buffer', () => {
  test('compares the buffer with glyphs or with bytes', () => {
    const memory = { 0x4700: [0x78, 0x50, 0x77] }
    expect(outcome('digit-buffer', { glyphs: 'TRA' }, { memory })).toBe('passed')
    expect(outcome('digit-buffer', { bytes: '78 50 77' }, { memory })).toBe('passed')
    expect(outcome('digit-buffer', { bytes: '78 50 76' }, { memory })).toBe('failed')
    expect(outcome('digit-buffer', { bytes: '78 50 78' }, { memory })).toBe('failed')
    const verdict = tryCheck('digit-buffer', { glyphs: 'TRE' }, { memory })
    expect(verdict.message).toBe('Digit 3 (4702h) holds 77h; wanted 79h.')
  })
})

describe('registers-kept', () => {
  test('fails when one register comes back one off', () => {
    const fields = { registers: ['bc', 'de'] }
    const before = { bc: 0x1234, de: 0x5678 }
    expect(outcome('registers-kept', fields, { before, registers: before })).toBe('passed')
    expect(outcome('registers-kept', fields, { before, registers: { ...before, de: 0x5679 } })).toBe('failed')
  })
})

describe('stack-balance', () => {
  test('SP must end where it began', () => {
    expect(outcome('stack-balance', {}, { registers: { sp: 0x4800 } })).toBe('passed')
    expect(tryCheck('stack-balance', {}, { registers: { sp: 0x47fe } }).message).toContain('2 bytes too many')
    expect(tryCheck('stack-balance', {}, { registers: { sp: 0x4802 } }).message).toContain('2 bytes too few')
  })
  test('the depth may reach its limit and not pass it', () => {
    const fields = { maxDepth: 4 }
    expect(outcome('stack-balance', fields, { lowestSp: 0x47fd })).toBe('passed')
    expect(outcome('stack-balance', fields, { lowestSp: 0x47fc })).toBe('passed')
    expect(outcome('stack-balance', fields, { lowestSp: 0x47fb })).toBe('out-of-tolerance')
  })
  test('the return address of a routine does not count as its own', () => {
    const fields = { maxDepth: 2 }
    expect(outcome('stack-balance', fields, { ends: 'return', lowestSp: 0x47fc })).toBe('passed')
    expect(outcome('stack-balance', fields, { ends: 'return', lowestSp: 0x47fb })).toBe('out-of-tolerance')
  })
})
