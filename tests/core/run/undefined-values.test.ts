import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { registerParts } from '../../../core/cpu/index.ts'
import { digestOfRun, registersAtStart, run, type RunRequest, type RunResult } from '../../../core/run/index.ts'
import { request, seed } from './programs.ts'
import { anyProgram } from './random-programs.ts'

console.log(`random programs drawn with SEED=${seed}`)

const vital = new Set(['SP', 'IFF', 'I'])
const registers = registerParts.filter((part) => !vital.has(part))

/** The same on another start: all registers and RAM that nothing sets hold something else. */
function startedWith(of: RunRequest, fill: number): RunRequest {
  const word = (i: number): number => (Math.imul(fill + 1, 0x9e37 + 977 * i) >>> 3) & 0xffff
  const names = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy'] as const
  return {
    ...of,
    given: {
      ...of.given,
      registers: { ...Object.fromEntries(names.map((name, i) => [name, word(i)])), r: word(11) & 0x7f },
      fill: { seed: fill },
      undefined: { registers, isMemory: true, start: fill },
    },
  }
}

const followed = (of: RunRequest): RunResult => run(of, { isFollowingUndefined: true })

describe('following a run', () => {
  const expectSame = (of: RunRequest): void => {
    const plain = run(of)
    const seen = followed(of)
    expect([seen.end, digestOfRun(seen)]).toEqual([plain.end, digestOfRun(plain)])
  }

  test('changes nothing of it', () => {
    fc.assert(
      fc.property(anyProgram, (of) => expectSame(startedWith(of, 7))),
      { seed, numRuns: 60 },
    )
  })

  test.each([
    'LD HL,4600H | LOOP: LD A,(HL) | JR LOOP',
    'LD HL,4600H | LD (HL),5 | LOOP: LD A,(HL) | JR LOOP',
    'LD HL,4600H | LD (HL),5 | LOOP: BIT 1,(HL) | LD E,(HL) | RLC (HL) | JR LOOP',
    'LOOP: LD HL,4600H | LD C,20H | OUTI | JR LOOP',
    'LOOP: LD HL,4600H | LD C,23H | LD (HL),1 | INI | LD A,(HL) | JR LOOP',
    'LOOP: POP BC | PUSH BC | JR LOOP',
    'LOOP: PUSH DE | EXX | CALL AWAY | EXX | POP DE | JR LOOP | AWAY: RET',
    'LD SP,4650H | LOOP: CALL AWAY | JR LOOP | AWAY: EX (SP),HL | EX (SP),HL | RET',
    "LOOP: EX AF,AF' | IN A,(23H) | EX AF,AF' | JR LOOP",
  ])('finds the same endless loop: %s', (text) => {
    expectSame(startedWith(request(text, { budget: 3_000_000 }), 7))
  })
})

describe('what is said to be defined', () => {
  /** One thing that a program may do; jumps lead forwards, loops have an end. */
  const deeds = [
    ...[
      'LD A,B',
      'LD B,C',
      'LD HL,4650H',
      'LD DE,4660H',
      'LD BC,4',
      'LD A,7',
      'LD (4640H),A',
      'LD A,(4640H)',
      'INC HL',
    ],
    ...[
      'LD (HL),A',
      'LD A,(HL)',
      'INC (HL)',
      'LD (4648H),HL',
      'LD HL,(4648H)',
      'PUSH AF',
      'PUSH BC',
      'PUSH HL',
      'POP AF',
    ],
    ...[
      'POP BC',
      'POP DE',
      'POP HL',
      'POP IX',
      'PUSH IX',
      'EX DE,HL',
      'EXX',
      "EX AF,AF'",
      'EX (SP),HL',
      'XOR A',
      'AND 0',
    ],
    ...[
      'OR 0FFH',
      'SUB A',
      'SBC A,A',
      'ADC A,B',
      'ADD HL,DE',
      'SCF',
      'CCF',
      'CP 9',
      'BIT 3,B',
      'RES 1,C',
      'SET 2,(HL)',
    ],
    ...['RLA', 'RRCA', 'RLC E', 'RLD', 'DAA', 'NEG', 'CPL', 'LD A,R', 'LD A,I', 'LD R,A', 'LD IX,4658H', 'LD (IX+2),5'],
    ...['LD A,(IX+2)', 'LDI', 'LD BC,3 | LDIR', 'CPI', 'LD C,20H | OUT (C),B', 'OUT (20H),A', 'IN A,(23H)', 'IN E,(C)'],
    ...[
      'JR C,$+3 | NOP',
      'JR Z,$+3 | INC E',
      'JP P,$+4 | INC D',
      'LD B,3 | DJNZ $',
      'CALL AWAY',
      'LD A,B | OR C',
      'RRD',
    ],
    ...[
      'LD A,(DE)',
      'LD (DE),A',
      'LD SP,46F0H',
      'LD A,IXH',
      'LD D,IYL',
      'SBC HL,HL',
      'INC B',
      'DEC (HL)',
      'CALL Z,AWAY',
    ],
    ...['LD L,0', 'LD (4652H),A | LD A,(4652H)', 'CPIR', 'LD B,2 | OTIR', 'INI'],
  ]
  const lists = fc.array(fc.constantFrom(...deeds), { minLength: 1, maxLength: 18 })
  const programOf = (list: readonly string[]): RunRequest =>
    request(`LD SP,46C0H | ${list.join(' | ')} | HALT | AWAY: PUSH AF | LD A,3 | POP AF | RET`, { budget: 40_000 })

  /** What differs between two starts though it was said to hang on nothing that differs. */
  function contradictions(of: RunRequest, other: RunRequest): readonly string[] | null {
    const [one, two] = [followed(of), run(other)]
    const use = one.undefinedUse
    if (use === undefined || use.isDecisive) return null
    const found: string[] = []
    const outer = ({ end, tStates, steps, events }: RunResult): string =>
      JSON.stringify([end, tStates, steps, events.toArray()])
    if (outer(one) !== outer(two)) found.push('the course of the run')
    const values = ({ registers: r }: RunResult): Record<string, number> => ({
      ...Object.fromEntries([0, 1, 2, 3, 4, 5, 6, 7].map((bit) => [bit, (r.af >> bit) & 1])),
      ...{ A: r.af >> 8, B: r.bc >> 8, C: r.bc & 255, D: r.de >> 8, E: r.de & 255, H: r.hl >> 8, L: r.hl & 255 },
      ...{ IXH: r.ix >> 8, IXL: r.ix & 255, IYH: r.iy >> 8, IYL: r.iy & 255, SP: r.sp },
      ...{ "AF'": r.af_, "BC'": r.bc_, "DE'": r.de_, "HL'": r.hl_ },
    })
    const [here, there] = [values(one), values(two)]
    for (const [name, value] of Object.entries(here)) {
      const parts = registerParts.flatMap((part, i) =>
        (/^\d$/.test(name) ? i === Number(name) : part === name || (name === "AF'" && /^[AF]'$/.test(part))) ? [i] : [],
      )
      if (parts.length > 0 && parts.every((part) => !use.isUndefined(part)) && there[name] !== value) found.push(name)
    }
    const before = values({ ...one, registers: registersAtStart(of) })
    for (const [name, value] of Object.entries(here)) {
      const part = registerParts.findIndex((each) => each === name)
      if (part >= 0 && registers.some((each) => each === name) && use.isKept(part) && value !== before[name])
        found.push(`${name} is not kept`)
    }
    one.memory.forEach((byte, at) => {
      if (byte !== two.memory[at] && !use.isByteUndefined(at)) found.push(at.toString(16))
    })
    return found
  }

  test('is the same on every other start, in programs of any kind', () => {
    let told = 0
    fc.assert(
      fc.property(lists, fc.nat(1000), (list, fill) => {
        const of = programOf(list)
        const found = contradictions(startedWith(of, fill), startedWith(of, fill + 1))
        if (found !== null) told += 1
        expect(found ?? []).toEqual([])
      }),
      { seed, numRuns: 800 },
    )
    expect(told).toBeGreaterThan(80)
  })

  test('is the same on every other start where the program does it over and over, and is followed by a forecast', () => {
    let told = 0
    /** What a routine does that leaves the registers as they were. */
    const saving = [
      ...['PUSH BC | LD B,9 | ADD A,B | POP BC', 'PUSH AF | XOR A | POP AF', 'PUSH IX | CALL AWAY | POP IX'],
      ...[
        'LD (4644H),BC | LD BC,7 | LD BC,(4644H)',
        "EX AF,AF' | XOR A | EX AF,AF'",
        'PUSH HL | LD L,9 | EX (SP),HL | POP HL',
      ],
      ...[
        'EXX | LD HL,4670H | LD (HL),1 | EXX',
        'PUSH DE | LD D,5 | LD A,D | POP DE',
        'PUSH BC | POP DE | PUSH DE | POP BC',
      ],
      ...['PUSH BC | LD C,2 | LD HL,4680H | LD (HL),C | LD A,(HL) | POP BC', 'LD A,B | LD (4646H),A'],
    ]
    const rounds = fc.array(fc.oneof(fc.constantFrom(...saving), fc.constantFrom(...deeds)), { maxLength: 6 })
    fc.assert(
      fc.property(rounds, lists, fc.nat(1000), (list, after, fill) => {
        const [again, once] = [list, after.slice(0, 3)].map((some) => some.filter((each) => each !== 'LD SP,46F0H'))
        const of = request(
          `LD SP,46C0H | LD A,40 | LD (46F8H),A | NEXT: CALL ROUND | LD A,(46F8H) | DEC A | LD (46F8H),A | JR NZ,NEXT
 | ${['NOP', ...(once ?? [])].join(' | ')} | HALT | ROUND: ${['NOP', ...(again ?? [])].join(' | ')} | RET
 | AWAY: PUSH AF | LD A,3 | POP AF | RET`,
          { budget: 60_000 },
        )
        const found = contradictions(startedWith(of, fill), startedWith(of, fill + 1))
        if (found !== null) told += 1
        expect(found ?? []).toEqual([])
      }),
      { seed, numRuns: 500 },
    )
    expect(told).toBeGreaterThan(30)
  })
})
