import { describe, expect, test } from 'vitest'
import { parseExercise } from '../../../core/exercise/index.ts'
import { Random } from '../../../core/run/index.ts'
import { seed } from '../run/programs.ts'
import { lostBy, subjectsOf, type Shift } from './shifted.ts'

console.log(`phases, delays and sweeps drawn with SEED=${seed}`)

/**
 * With the timer on, the handler `EI / RET` takes 13 T for the acceptance, 56 T in ROM and 14 T of every 25,000 T; all
 * else goes so much slower.
 */
const stretch = 25_000 / (25_000 - 83)
const ms = (tStates: number) => tStates / 2500

/** A right program for a figure, the figure from adding up T-states, and a check that wants some figure. */
interface Measured {
  readonly program: string
  readonly figure: number
  readonly kind: string
  /** Fields of the check that wants `figure`. */
  readonly wanting: (figure: number) => object
  /** By how much of the figure, up and down, it may be wanted otherwise and is still right, and is surely wrong. */
  readonly right: readonly number[]
  readonly wrong: readonly number[]
  readonly keys?: readonly object[]
}

/** Something to allow `within` of the figure either way, tried with a little less and a little more than that. */
const either = (within: number, little = 0.15 * within) => ({
  right: [1 / (1 + within - little), 1 / (1 - within + little)],
  wrong: [1 / (1 + within + little), 1 / (1 - within - little)],
})

const withTicks = (text: string) => `
      ORG 4000h
      LD HL,TICK
      LD (4710h),HL
      EI
${text}
      DI
      HALT
TICK: EI
      RET`

/** Half waves of `high` and `low` rounds of DJNZ, `count` pairs of them; 59 T + 13 T a round less 5 T each. */
const wave = (high: number, low: number, count: number) =>
  withTicks(`
      LD DE,${count}
NEXT: LD A,1
      OUT (22h),A
      LD B,${high}
      DJNZ $
      XOR A
      OUT (22h),A
      LD B,${low}
      DJNZ $
      DEC DE
      LD A,D
      OR E
      JR NZ,NEXT`)
// OUT to OUT: LD B 7, DJNZ 13 n - 5, XOR 4, OUT 11; and LD B 7, DJNZ, DEC DE 6, LD 4, OR 4, JR 12, LD A 7, OUT 11.
const highTStates = (rounds: number) => 17 + 13 * rounds
const lowTStates = (rounds: number) => 46 + 13 * rounds
const waveTStates = (high: number, low: number) => highTStates(high) + lowTStates(low)

const sign = 'LD HL,SIGN\n LD DE,4700h\n LD BC,8\n LDIR'
const glyphs = 'SIGN: DB 06h,5Bh,4Fh,66h,6Dh,7Dh,07h,7Fh'

const measured: Readonly<Record<string, Measured>> = {
  'pitch of a tone': {
    program: wave(100, 98, 100),
    figure: 2_500_000 / waveTStates(100, 98),
    kind: 'speaker',
    wanting: (frequency) => ({ frequency, frequencyWithin: '3 %' }),
    ...either(0.03),
  },
  'length of a tone': {
    program: wave(100, 98, 100),
    figure: ms((99 * waveTStates(100, 98) + highTStates(100)) * stretch),
    kind: 'speaker',
    wanting: (figure) => ({ duration: `${figure} ms`, durationWithin: '3 %' }),
    ...either(0.03),
  },
  'duty of a tone': {
    program: wave(120, 80, 100),
    figure: (100 * highTStates(120)) / waveTStates(120, 80),
    kind: 'speaker',
    wanting: (duty) => ({ duty, dutyWithin: 3 }),
    ...either(3 / 60),
  },
  'pitches in turn': {
    program: withTicks(`
      LD HL,100
      LD DE,48
      CALL 0058h
      LD BC,20
      CALL 0050h
      LD HL,100
      LD DE,40
      CALL 0058h`),
    figure: 2_500_000 / (2 * 26 * 40),
    kind: 'tones-in-turn',
    wanting: (figure) => ({ frequencies: [2_500_000 / (2 * 26 * 48), figure], frequencyWithin: '2 %' }),
    ...either(0.02, 0.005),
  },
  'how long lamps stand': {
    program: withTicks(`
      LD A,80h
NEXT: OUT (24h),A
      LD BC,40
      PUSH AF
      CALL 0050h
      POP AF
      RRCA
      CP 08h
      JR NZ,NEXT`),
    figure: ms((100_000 + 11 + 10 + 11 + 10 + 4 + 7 + 12) * stretch),
    kind: 'lamps',
    wanting: (figure) => ({
      patterns: ['*.......', '.*......', '..*.....', '...*....'],
      each: `${figure} ms`,
      eachWithin: '3 %',
    }),
    ...either(0.03),
  },
  'how long a sign stands': {
    // All digits stand from the first light of the last one to the end of the last sweep or the one before.
    program: withTicks(`${sign}\n LD E,60\nNEXT: CALL 0040h\n DEC E\n JR NZ,NEXT`).replace('TICK:', `${glyphs}\nTICK:`),
    figure: ms((60 - 0.75) * 20_033 * stretch),
    kind: 'digits-seen',
    wanting: (figure) => ({ glyphs: '12345678', for: `${figure} ms`, forWithin: '5 %' }),
    ...either(0.05, 0.02),
  },
  'sweeps in a second': {
    // A sweep, 8 ms of dark, and 47 T.
    program: withTicks(`${sign}\n LD E,40\nNEXT: CALL 0040h\n LD BC,8\n CALL 0050h\n DEC E\n JR NZ,NEXT`).replace(
      'TICK:',
      `${glyphs}\nTICK:`,
    ),
    figure: 2_500_000 / ((20_000 + 20_000 + 47) * stretch),
    kind: 'digits-seen',
    wanting: (figure) => ({ glyphs: '12345678', state: 'any', minRefresh: figure }),
    right: [0.985],
    wrong: [1.015],
  },
  'signs in turn': {
    program: withTicks(`
      LD HL,4707h
      LD (HL),06h
      CALL SHOW
      LD (HL),5Bh
      CALL SHOW
      LD (HL),4Fh
      CALL SHOW`).replace(
      'TICK:',
      'SHOW: LD D,25\nNEXT: PUSH HL\n CALL 0040h\n POP HL\n DEC D\n JR NZ,NEXT\n RET\nTICK:',
    ),
    figure: ms((25 * (20_000 + 17 + 37) + 50) * stretch),
    kind: 'signs-in-turn',
    wanting: (figure) => ({ signs: ['1', '2', '3'], digit: 8, each: `${figure} ms`, eachWithin: '5 %' }),
    ...either(0.05, 0.015),
  },
  'time from a key to its sign': {
    program: withTicks(`${sign}
      LD A,1
      OUT (21h),A
POLL: IN A,(23h)
      AND 1
      JR Z,POLL
      XOR A
      OUT (21h),A
      LD BC,100
      CALL 0050h
      LD E,20
NEXT: CALL 0040h
      DEC E
      JR NZ,NEXT`).replace('TICK:', `${glyphs}\nTICK:`),
    keys: [{ key: '0', at: '50 ms', for: '100 ms' }],
    figure: 100 * stretch,
    kind: 'shown-after-key',
    // A sweep later the last digit has its first light.
    wanting: (figure) => ({ signs: ['12345678'], within: `${figure} ms` }),
    right: [1.12],
    wrong: [0.99],
  },
  'time from a key to its byte': {
    program: withTicks(`
      LD A,1
      OUT (21h),A
POLL: IN A,(23h)
      AND 1
      JR Z,POLL
      LD BC,100
      CALL 0050h
      LD A,37h
      LD (4600h),A
      LD BC,20
      CALL 0050h`),
    keys: [{ key: '0', at: '50 ms', for: '100 ms' }],
    figure: 100 * stretch,
    kind: 'memory-after-key',
    wanting: (figure) => ({ at: '4600h', bytes: ['37'], after: `${figure} ms` }),
    right: [1.005],
    wrong: [0.995],
  },
  'wait of a tick': {
    // Every second tick waits behind DI until EI and the instruction after it are done.
    program: withTicks(`
      LD E,12
NEXT: EI
      NOP
      HALT
      DI
      LD BC,12
      CALL 0050h
      DEC E
      JR NZ,NEXT`),
    // Ticks come every 10 ms: 12 ms after one the next has waited for 2, the handler of the first and the loop for 121 T more.
    figure: 2 + ms(13 + 56 + 14 + 4 + 10 + 4 + 12 + 4 + 4),
    kind: 'interrupts',
    wanting: (figure) => ({ maxDelay: `${figure} ms` }),
    right: [1.01],
    wrong: [0.97],
  },
  'drift of a count': {
    program: withTicks(`
      LD HL,4600h
      LD E,12
NEXT: INC (HL)
      LD BC,20
      CALL 0050h
      DEC E
      JR NZ,NEXT`),
    figure: (50_000 + 11 + 10 + 4 + 12) * stretch,
    kind: 'drift',
    wanting: (figure) => ({ address: '4600h', every: `${Math.round(figure)} T`, times: 10, maxPpm: 2000 }),
    ...either(0.002, 0.0005),
  },
}

function subjectWanting({ program, kind, wanting, keys = [] }: Measured, figure: number) {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'measured', title: 'Measured', board: 'bench-8', brief: 'Measure it.' },
    budget: '4 s',
    given: { timer: true },
    cases: [{ id: 'one', title: 'One', given: { keys } }],
    groups: [{ id: 'function', title: 'What it does', marks: 100 }],
    checks: [{ id: 'measured', kind, title: 'Measured', group: 'function', ...wanting(figure) }],
    model: { format: 'assembly', text: program },
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('; '))
  const { exercise } = parsed
  const [subject] = subjectsOf('measured', exercise, { name: 'model', source: { format: 'assembly', text: program } })
  if (subject === undefined) throw new Error('nothing is measured')
  return subject
}

describe.each(Object.entries(measured))('%s', (_, each) => {
  const random = new Random(seed)
  const shiftsOf = (sweeps: number): readonly Shift[] =>
    Array.from({ length: 64 }, (_, k) => ({
      phase: Math.round((k * 25_000) / 64),
      rounds: random.under(256),
      ...(sweeps === 0 ? {} : { sweep: random.under(sweeps) }),
    }))

  test.each(each.right)('is right at %f of what was wanted, in every phase', (factor) => {
    const subject = subjectWanting(each, each.figure * factor)
    expect(shiftsOf(subject.sweeps.length).flatMap((shift) => lostBy(subject, shift))).toEqual([])
  })
  test.each(each.wrong)('is wrong at %f of what was wanted, in every phase', (factor) => {
    const subject = subjectWanting(each, each.figure * factor)
    const passed = shiftsOf(subject.sweeps.length).filter((shift) => lostBy(subject, shift).length === 0)
    expect(passed).toEqual([])
  })
})
