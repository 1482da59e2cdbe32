import { describe, expect, test } from 'vitest'
import {
  dataFlow,
  instructionSet,
  instructionUse,
  interruptFlow,
  registerParts,
  type Before,
  type Sources,
} from '../../../core/cpu/index.ts'

const bytesOf = (hex: string): readonly number[] => hex.split(' ').map((byte) => Number.parseInt(byte, 16))
const flowOf = (hex: string) => dataFlow((offset) => bytesOf(hex)[offset] ?? 0)

/** `A B m1` : the parts, the bytes of memory read as bits, `in` for a port. */
function said({ parts, reads, isInput }: Sources): string {
  const names = registerParts.filter((_, part) => ((parts >> part) & 1) === 1)
  return [...names, ...(reads > 0 ? [`m${reads}`] : []), ...(isInput ? ['in'] : [])].join(' ')
}

/** What goes into one part: `from('ADC A,B', 'A')`. */
function from(hex: string, part: (typeof registerParts)[number]): string {
  const number = registerParts.indexOf(part)
  const flow = flowOf(hex)
  return ((flow.writes >> number) & 1) === 0 ? 'kept' : said(flow.from(number))
}

// By the manual UM0080.
describe('where the values of an instruction go', () => {
  test.each([
    ['LD A,B', '78', 'A', 'B'],
    ['LD A,B leaves the carry', '78', 'CF', 'kept'],
    ['LD A,(4600h)', '3A 00 46', 'A', 'm1'],
    ['LD HL,(4600h), high half', '2A 00 46', 'H', 'm2'],
    ['ADC A,B', '88', 'A', 'CF A B'],
    ['XOR A depends on nothing', 'AF', 'A', ''],
    ['XOR A clears the carry', 'AF', 'CF', ''],
    ['SBC A,A is the carry alone', '9F', 'A', 'CF'],
    ['CP B leaves A', 'B8', 'A', 'kept'],
    ['CP B, zero flag', 'B8', 'ZF', 'A B'],
    ['INC B keeps the carry', '04', 'CF', 'kept'],
    ['DEC BC touches no flag', '0B', 'ZF', 'kept'],
    ['DEC BC, high half', '0B', 'B', 'B C'],
    ['DEC BC, low half', '0B', 'C', 'C'],
    ['ADD HL,DE keeps Z', '19', 'ZF', 'kept'],
    ['ADD HL,DE, low half', '19', 'L', 'E L'],
    ['RLA takes the carry in', '17', 'A', 'CF A'],
    ['RLA clears N', '17', 'NF', ''],
    ['DAA', '27', 'A', 'CF NF HF A'],
    ['DJNZ', '10 FE', 'B', 'B'],
    ['POP AF, zero flag', 'F1', 'ZF', 'm1'],
    ['POP AF, A', 'F1', 'A', 'm2'],
    ['EX AF,AF’', '08', 'CF', "F'"],
    ['EXX', 'D9', 'B', "B'"],
    ['IN A,(23h)', 'DB 23', 'A', 'in'],
    ['LDIR, count', 'ED B0', 'C', 'C'],
    ['EX DE,HL', 'EB', 'D', 'H'],
    ['BIT 3,A', 'CB 5F', 'ZF', 'A'],
  ] as const)('%s', (_, hex, part, sources) => {
    expect(from(hex, part)).toBe(sources)
  })

  const at = (hex: string, some: Partial<Before['registers']>): Before => ({
    registers: {
      ...{ af: 0, bc: 0, de: 0, hl: 0, af_: 0, bc_: 0, de_: 0, hl_: 0, ix: 0, iy: 0, sp: 0, pc: 0x4000 },
      ...{ i: 0, r: 0, wz: 0, q: 0, im: 0, iff1: false, iff2: false, isHalted: false, ...some },
    },
    bytes: bytesOf(hex),
    read: (address) => address & 0xff,
  })
  test('addresses come from the state before', () => {
    expect(flowOf('DD 77 FE').memoryWrites[0]?.address(at('DD 77 FE', { ix: 0x4610 }))).toBe(0x460e)
    expect(flowOf('F5').memoryWrites.map(({ address }) => address(at('F5', { sp: 0x4800 })))).toEqual([0x47ff, 0x47fe])
    expect(flowOf('CD 40 00').jump?.to(at('CD 40 00', {}))).toBe(0x0040)
    expect(flowOf('20 FE').jump?.to(at('20 FE', {}))).toBe(0x4000)
    expect(flowOf('C9').jump?.to(at('C9', { sp: 0x4634 }))).toBe(0x3534)
    expect(flowOf('D3 22').portWrites[0]?.address(at('D3 22', { af: 0x1200 }))).toBe(0x1222)
  })
  test('a jump tells what its condition looks at and whether its target is in the bytes', () => {
    expect(flowOf('20 FE').jump).toMatchObject({ isFixed: true })
    expect(said(flowOf('20 FE').jump?.when ?? { parts: 0, reads: 0, isInput: true })).toBe('ZF')
    expect(flowOf('C9').jump).toMatchObject({ isFixed: false, when: null })
    expect(flowOf('E9').jump).toMatchObject({ isFixed: false, when: null })
    expect(said(flowOf('ED B0').jump?.when ?? { parts: 0, reads: 0, isInput: true })).toBe('B C')
    expect(flowOf('78').jump).toBeNull()
  })
  test('accepting an interrupt changes SP and the interrupt flip-flops', () => {
    const { writes, memoryWrites } = interruptFlow()
    expect(registerParts.filter((_, part) => ((writes >> part) & 1) === 1)).toEqual(['SP', 'IFF'])
    expect(memoryWrites).toHaveLength(2)
  })

  test('agrees with what each instruction uses as a whole', () => {
    const wrong: string[] = []
    for (const { encoding, text } of instructionSet) {
      const bytes = encoding.map((byte) => (typeof byte === 'number' ? byte : 0x12))
      const flow = dataFlow((offset) => bytes[offset] ?? 0)
      const use = instructionUse((offset) => bytes[offset] ?? 0)
      // Bits 5 and 3 of F, copies of something, are left out there.
      if ((flow.writes & 0xd7) !== (use.flagsWritten & 0xd7)) wrong.push(`${text}: flags`)
      const written = new Set([...use.writes].flatMap(halvesOf))
      for (const [part, name] of registerParts.entries()) {
        const isWritten = ((flow.writes >> part) & 1) === 1
        if (part >= 8 && name !== 'IFF' && isWritten !== written.has(name)) wrong.push(`${text}: ${name}`)
      }
      if (flow.memoryReads.length > 0 !== use.readsMemory) wrong.push(`${text}: reads`)
      if (flow.memoryWrites.length > 0 !== use.writesMemory) wrong.push(`${text}: writes`)
    }
    expect(wrong).toEqual([])
  })
})

/** `BC'` as `B'` and `C'`; anything else as itself. */
function halvesOf(register: string): readonly string[] {
  return register.length === 3 && register.endsWith("'")
    ? [`${register[0] ?? ''}'`, `${register[1] ?? ''}'`]
    : [register]
}
