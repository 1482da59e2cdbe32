import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { whyNever, whyValue, type Why, type WhyPart, type WhyTarget } from '../../../core/diagnosis/index.ts'
import { record, type Recording, type RunRequest } from '../../../core/run/index.ts'

interface Ran {
  readonly recording: Recording
  readonly request: RunRequest
}

/** Assembles and runs a program from 4000h; memory is full of FFh. */
function ran(source: string, given: Partial<RunRequest['given']> = {}, budget = 8_000_000): Ran {
  const symbols = Object.fromEntries(benchEight.firmware.routines.map(({ name, address }) => [name, address]))
  const program = readProgram({ format: 'assembly', text: source }, { origin: 0x4000, symbols })
  expect(program.problems).toEqual([])
  const request: RunRequest = {
    profile: benchEight,
    image: program.image,
    entry: 0x4000,
    ends: 'halt',
    given: { registers: {}, memory: [], keys: [], switches: 0, fill: { byte: 0xff }, isTimerOn: false, ...given },
    budget,
  }
  return { recording: record(request), request }
}

function why({ recording, request }: Ran, target: WhyTarget, step?: number): Why {
  return whyValue(recording, request, target, step)
}

/** `LD A,05H; ADD A,B`: the parts in the order of the run. */
const texts = ({ parts }: { readonly parts: readonly WhyPart[] }): string => parts.map(({ text }) => text).join('; ')
const lines = (...each: readonly string[]): string => each.join('\n')

describe('why a value is what it is', () => {
  const sum = ran(lines(' LD A,5', ' LD C,9', ' LD B,3', 'NEXT: ADD A,B', ' DJNZ NEXT', ' LD (4600h),A', ' HALT'))

  test('a byte: the store, the sums, and what the sums began with; nothing else', () => {
    const told = why(sum, { kind: 'memory', address: 0x4600 })
    expect(told.value).toBe(0x0b)
    expect(texts(told)).toBe('LD A,05H; LD B,03H; ADD A,B; DJNZ 4006H; LD (4600H),A; HALT')
    expect(told.sentence).toBe('4600h holds 0Bh, written by LD (4600H),A at 4009h.')
  })
  test('each part says what it read and what it made, the last time that it had one', () => {
    const [, , add] = why(sum, { kind: 'memory', address: 0x4600 }).parts
    expect(add?.read).toEqual([
      { what: 'A', value: 0x0a, bits: 8 },
      { what: 'B', value: 1, bits: 8 },
    ])
    expect(add?.wrote).toEqual([{ what: 'A', value: 0x0b, bits: 8 }])
    expect(add?.times).toBe(3)
  })
  test('the instruction that wrote the value is the most telling', () => {
    expect(why(sum, { kind: 'memory', address: 0x4600 }).parts.find(({ rank }) => rank === 1)?.text).toBe(
      'LD (4600H),A',
    )
  })
  test('in the middle of a run: only what came before', () => {
    expect(texts(why(sum, { kind: 'register', register: 'a' }, 2))).toBe('LD A,05H')
  })
  test('a byte that nothing wrote is as given, and the nearest write is told', () => {
    const told = why(sum, { kind: 'memory', address: 0x4601 })
    expect(told.sentence).toMatch(
      /^Nothing wrote to 4601h: it holds FFh, as at the start\. The nearest write is that of LD \(4600H\),A/,
    )
  })
  test('what was there at the start is a source', () => {
    const told = why(ran(' LD A,(4610h)\n INC A\n HALT', { memory: [{ at: 0x4610, bytes: [7] }] }), {
      kind: 'register',
      register: 'a',
    })
    expect(told.sources).toEqual([{ kind: 'given', what: '(4610h)', value: 7 }])
  })
  test('XOR A needs nothing from before', () => {
    expect(texts(why(ran(' LD A,9\n XOR A\n HALT'), { kind: 'register', register: 'a' }))).toBe('XOR A; HALT')
  })
  test('a flag is followed by itself: LD and INC leave the carry', () => {
    const told = why(ran(' LD A,0FFh\n ADD A,1\n LD B,5\n INC B\n HALT'), { kind: 'flag', flag: 'c' })
    expect(texts(told)).toBe('LD A,0FFH; ADD A,01H; HALT')
    expect(told.value).toBe(1)
  })
  test('a value is followed through the stack and the second set', () => {
    const told = why(ran(' LD HL,1234h\n PUSH HL\n LD HL,0\n POP DE\n EX DE,HL\n HALT'), {
      kind: 'register',
      register: 'l',
    })
    expect(texts(told)).toBe('LD HL,1234H; PUSH HL; POP DE; EX DE,HL; HALT')
    const other = why(ran(' LD B,7\n EXX\n LD B,9\n EXX\n LD A,B\n HALT'), { kind: 'register', register: 'a' })
    expect(texts(other)).toBe('LD B,07H; EXX; EXX; LD A,B; HALT')
  })
  test('a block move: the byte comes from where it was copied', () => {
    const told = why(
      ran(lines(' LD A,42h', ' LD (4602h),A', ' LD HL,4600h', ' LD DE,4700h', ' LD BC,4', ' LDIR', ' HALT')),
      { kind: 'memory', address: 0x4702 },
    )
    expect(texts(told)).toMatch(/^LD A,42H; LD \(4602H\),A; .*LDIR; HALT$/)
  })
  test('firmware is told as its call', () => {
    const told = why(ran(' LD A,7\n CALL GLYPH\n LD (4700h),A\n HALT'), { kind: 'memory', address: 0x4700 })
    expect(texts(told)).toBe('LD A,07H; CALL GLYPH; LD (4700H),A; HALT')
    expect(told.parts[1]?.wrote).toEqual([{ what: 'A', value: 0x07, bits: 8 }])
  })
  test('a branch that kept a value from being made otherwise is told', () => {
    const told = why(ran(lines(' LD A,80h', ' LD B,0', ' OR A', ' JP M,ON', ' LD B,1', 'ON: HALT')), {
      kind: 'register',
      register: 'b',
    })
    expect(texts(told)).toBe('LD A,80H; LD B,00H; OR A; JP M,400AH; HALT')
  })
  test('a port write: what was put out last', () => {
    const told = why(ran(' LD A,1\n OUT (22h),A\n LD A,0\n OUT (21h),A\n HALT'), { kind: 'port-write', port: 0x22 })
    expect(told.value).toBe(1)
    expect(texts(told)).toBe('LD A,01H; OUT (22H),A; HALT')
  })
  test('time: what took it, and what its count was made of', () => {
    const told = why(ran(' LD C,9\n LD B,200\nWAIT: DJNZ WAIT\n HALT'), { kind: 'time', from: 0 })
    expect(texts(told)).toBe('LD B,0C8H; DJNZ 4004H; HALT')
  })
  test('the end: the branch of a loop that never ends and what it looks at', () => {
    const told = why(ran(' LD B,5\nLOOP: INC B\n DEC B\n JR NZ,LOOP\n HALT', {}, 10_000), { kind: 'end' })
    expect(texts(told)).toContain('JR NZ,4002H')
    expect(texts(told)).not.toContain('HALT')
  })
  test('a program that writes over itself: the instruction that stood there then', () => {
    const told = why(ran(lines(' LD A,3Ch', ' LD (4008h),A', ' LD A,1', ' NOP', ' NOP', ' HALT')), {
      kind: 'register',
      register: 'a',
    })
    expect(texts(told)).toContain('INC A')
  })
})

describe('what did not happen', () => {
  const guarded = (store: string): Why =>
    why(
      ran(
        lines(
          ' LD A,(4600h)',
          ' OR A',
          ' JR Z,SKIP',
          ' LD A,7',
          ` LD (${store}),A`,
          'SKIP: LD A,(4601h)',
          ' LD C,A',
          ' HALT',
        ),
        { memory: [{ at: 0x4600, bytes: [0] }] },
      ),
      { kind: 'register', register: 'c' },
    )
  test('a branch that turned away from a write to the byte that was read, and what it looked at', () => {
    expect(texts(guarded('4601h'))).toBe('LD A,(4600H); OR A; JR Z,400BH; LD A,(4601H); LD C,A; HALT')
  })
  test('not one that turned away from a write elsewhere', () => {
    expect(texts(guarded('4605h'))).toBe('LD A,(4601H); LD C,A; HALT')
  })
  test('a return that came too early for a register to be set', () => {
    const told = why(
      ran(lines(' LD B,0', ' LD A,5', ' CP 5', ' CALL PART', ' HALT', 'PART: RET Z', ' LD B,1', ' RET')),
      {
        kind: 'register',
        register: 'b',
      },
    )
    expect(texts(told)).toMatch(/CP 05H; .*RET Z/)
  })
  test('the rounds of a loop do not put its count farther away', () => {
    const { parts } = why(ran(lines(' LD A,1', ' LD B,200', 'NEXT: RLCA', ' DJNZ NEXT', ' HALT')), {
      kind: 'register',
      register: 'a',
    })
    expect(parts.find(({ text }) => text === 'LD B,0C8H')?.rank).toBeLessThanOrEqual(3)
  })
})

describe('ticks that no interrupt answered', () => {
  /** Counts ticks at 4600h for 45 ms, four of them, and copies the count to 4601h. */
  const counting = (before: string, handlerEnd: string): Why =>
    why(
      ran(
        lines(
          ...[' LD HL,TICK', ' LD (4710h),HL', ' XOR A', ' LD (4600h),A', before, ' LD BC,45', ' CALL WAITMS'],
          ...[' LD A,(4600h)', ' LD (4601h),A', ' DI', ' HALT'],
          ...['TICK: PUSH AF', ' LD A,(4600h)', ' INC A', ' LD (4600h),A', ' POP AF', handlerEnd, ' RET'],
        ),
        { isTimerOn: true },
      ),
      { kind: 'memory', address: 0x4601 },
    )
  test('a handler that leaves interrupts off is told by its return', () => {
    const told = counting(' EI', ' NOP')
    expect(told.value).toBe(1)
    expect(texts(told)).toMatch(/\bRET\b/)
  })
  test('nothing of the sort where each tick is answered', () => {
    const told = counting(' EI', ' EI')
    expect(told.value).toBe(4)
    expect(texts(told)).not.toMatch(/\b(RET|[DE]I)\b/)
  })
  test('an instruction that turned interrupts off is told', () => {
    const told = counting(' DI', ' EI')
    expect(told.value).toBe(0)
    expect(texts(told)).toMatch(/\bDI\b/)
  })
  test('interrupts that were never turned on are among what stood there at the start', () => {
    expect(counting(' NOP', ' EI').sources).toContainEqual({ kind: 'given', what: 'interrupts on', value: 0 })
  })
})

describe('time in the firmware', () => {
  test('the count that the program gave, not only the call', () => {
    expect(texts(why(ran(' LD BC,5\n CALL WAITMS\n HALT'), { kind: 'time', from: 0 }))).toBe(
      'LD BC,0005H; CALL WAITMS; HALT',
    )
  })
})

describe('why an instruction never ran', () => {
  const { recording, request } = ran(
    lines(' LD A,5', ' CP 7', ' JR NC,BIG', ' LD B,1', ' HALT', 'BIG: LD B,2', ' HALT'),
  )
  test('the branch that turned away, what it looked at, and what made it so', () => {
    const never = whyNever(recording, request, 0x4009)
    expect(never.ranAt).toBeNull()
    expect(never.turn).toMatchObject({ pc: 0x4004, times: 1, went: 0x4006, other: 0x4009 })
    expect(never.turn?.read).toEqual([{ what: 'flag C', value: 1, bits: 1 }])
    expect(never.turn?.setBy?.text).toBe('CP 07H')
  })
  test('an instruction that ran says when', () => {
    expect(whyNever(recording, request, 0x4006).ranAt).toBe(3)
  })
  test('nothing leads there', () => {
    expect(whyNever(recording, request, 0x4400)).toMatchObject({ turn: null, ranAt: null })
  })
})

test('a value that came in by the switches tells when they were moved last, one by a key which key and when', () => {
  const text = lines(
    ' LD B,40',
    'WAIT: DJNZ WAIT',
    ' IN A,(25H)',
    ' LD (4600h),A',
    ' LD A,0FFH',
    ' OUT (21H),A',
    ' IN A,(23H)',
    ' LD (4601h),A',
    ' HALT',
  )
  const moved = ran(text, {
    switches: 1,
    switchMoves: [
      { at: 300, value: 0x81 },
      { at: 5000, value: 0 },
    ],
    keys: [{ key: '0', from: 400, to: 9000 }],
  })
  expect(why(moved, { kind: 'memory', address: 0x4600 }).sources).toContainEqual({
    kind: 'input',
    what: 'port 25h',
    value: 0x81,
    moved: { kind: 'switches', t: 300, value: 0x81 },
  })
  expect(why(moved, { kind: 'memory', address: 0x4601 }).sources).toContainEqual({
    ...{ kind: 'input', what: 'port 23h', value: 1 },
    moved: { kind: 'key', t: 400, key: '0', isDown: true },
  })
  const still = ran(text, { switches: 1 })
  expect(why(still, { kind: 'memory', address: 0x4600 }).sources).toContainEqual({
    kind: 'input',
    what: 'port 25h',
    value: 1,
  })
})
