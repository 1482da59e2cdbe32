import { describe, expect, it } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { drawnAnew, parseExercise, readOptionsFor, runRequestFor, type Exercise } from '../../../core/exercise/index.ts'
import { doNothingScore, grade, type Report } from '../../../core/grading/index.ts'
import { readProgram } from '../../../core/assembler/index.ts'
import { registerParts } from '../../../core/cpu/index.ts'
import { run } from '../../../core/run/index.ts'
import { exerciseOf, programOf } from '../exercise/tram-depot.ts'

function exerciseWith(checks: readonly object[], parts: object = {}): Exercise {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'L1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...{ cases: [{ id: 'one' }], groups: [{ id: 'all', title: 'All', marks: 100 }] },
    checks: checks.map((check, i) => ({ id: `c${i}`, title: 'It', group: 'all', ...check })),
    ...parts,
  })
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('\n'))
  return parsed.exercise
}

const wantsA = exerciseWith([{ kind: 'registers', want: { a: '0Bh' } }])
/** With a round, on other values in what nothing sets. */
const reportOf = (text: string, of: Exercise, round?: number): Report =>
  grade({ format: 'assembly', text }, round === undefined ? of : drawnAnew(of, round), benchEight)
const rounds = Array.from({ length: 12 }, (_, round) => round)

describe('a check passes whatever nothing has set', () => {
  it.each([
    [
      'a branch on an undefined register',
      'BIT 7,B\n LD A,0BH\n JR NZ,DONE\n INC A\nDONE: HALT',
      /: B was [0-9A-F]{2}h already/,
    ],
    ['the second set', 'EXX\n BIT 3,H\n LD A,0BH\n JR NZ,DONE\n INC A\nDONE: HALT', /: HL' was [0-9A-F]{4}h already/],
    ['a flag', 'LD A,0BH\n JR C,DONE\n INC A\nDONE: HALT', /: F was [0-9A-F]{2}h already/],
    [
      'memory',
      'LD HL,4650H\n BIT 0,(HL)\n LD A,0BH\n JR NZ,DONE\n INC A\nDONE: HALT',
      /: 4650h held [0-9A-F]{2}h already/,
    ],
    [
      'a value that went over the stack',
      'PUSH IX\n POP BC\n BIT 1,C\n LD A,0BH\n JR NZ,DONE\n INC A\nDONE: HALT',
      /: IXL was/,
    ],
  ])('%s', (_, text, words) => {
    const checks = rounds.map((round) => reportOf(` ${text}`, wantsA, round).checks[0])
    expect(checks.map((check) => check?.outcome)).toEqual(rounds.map(() => 'failed'))
    const lucky = checks.filter((check) => check?.message.startsWith('This passed by luck') === true)
    // The first start is right about every second time.
    expect(lucky.length).toBeGreaterThan(1)
    for (const check of lucky) expect(check?.message).toMatch(words)
  })

  it('the report names a start on which the run fails, and that run is the one told', () => {
    const text = ' BIT 7,B\n LD A,0BH\n JR NZ,DONE\n INC A\nDONE: HALT'
    for (const round of rounds) {
      const [check] = reportOf(text, wantsA, round).checks
      const { caseId = '', start } = check?.decidedAt ?? {}
      const program = readProgram({ format: 'assembly', text }, readOptionsFor(wantsA, benchEight))
      const { registers } = run(runRequestFor(drawnAnew(wantsA, round), benchEight, program, caseId, 0, start))
      expect(registers.af >> 8).toBe(0x0c)
    }
  })

  it('saving and putting back what nothing has set is no luck', () => {
    const of = exerciseWith([
      { kind: 'registers', want: { a: '0Bh' } },
      { kind: 'registers-kept', registers: ['bc', 'ix'] },
    ])
    const text = ` PUSH AF\n PUSH BC\n PUSH IX\n EX AF,AF'\n EXX\n LD BC,1234H\n LD IX,5\n EXX\n EX AF,AF'
 CALL STORE\n POP IX\n POP BC\n POP AF\n LD A,0BH\n HALT
STORE: PUSH HL\n LD HL,4600H\n LD (HL),7\n LD A,(HL)\n POP HL\n RET`
    const program = readProgram({ format: 'assembly', text }, readOptionsFor(of, benchEight))
    const { undefinedUse } = run(runRequestFor(of, benchEight, program, 'one'), { isFollowingUndefined: true })
    expect(program.problems).toEqual([])
    expect(undefinedUse?.isDecisive).toBe(false)
    expect(reportOf(text, of).score).toBe(100)
  })

  it('what stands behind the HALT sets nothing', () => {
    const of = exerciseWith([{ kind: 'registers', want: { a: '0Bh', b: 'model' } }], {
      model: { format: 'assembly', text: ' LD A,0BH\n HALT\n LD B,5' },
    })
    const text = ' LD A,0BH\n HALT\n LD B,5'
    const program = readProgram({ format: 'assembly', text }, readOptionsFor(of, benchEight))
    const { undefinedUse } = run(runRequestFor(of, benchEight, program, 'one'), { isFollowingUndefined: true })
    const b = registerParts.indexOf('B')
    expect(undefinedUse?.isUndefined(b)).toBe(true)
    expect(undefinedUse?.isUndefined(registerParts.indexOf('A'))).toBe(false)
  })

  it('a register that was set to what it held by chance was not kept', () => {
    const of = exerciseWith([{ kind: 'registers-kept', registers: ['b'] }])
    const program = readProgram({ format: 'hex', text: '76' }, readOptionsFor(of, benchEight))
    const held = run(runRequestFor(of, benchEight, program, 'one')).registers.bc >> 8
    const report = reportOf(` LD B,${held}\n HALT`, of)
    expect(report.score).toBe(0)
    expect(report.checks[0]?.message).toContain('This passed by luck: B was')
  })
})

describe('a program that crashes', () => {
  const lamps = exerciseWith([{ kind: 'ports', port: '24h', values: '01' }])

  it('keeps what it did by then, wherever the crash led', () => {
    for (const round of rounds) {
      const report = reportOf(' LD A,1\n OUT (24H),A\n LD HL,-200\n ADD HL,SP\n LD SP,HL\n RET', lamps, round)
      if (report.cases[0]?.end.kind === 'left-program') expect(report.score).toBe(100)
    }
  })

  it('keeps nothing that it did by luck', () => {
    const ends = rounds.map((round) => {
      const report = reportOf(' LD A,1\n BIT 7,B\n JR Z,SHOW\n INC A\nSHOW: OUT (24H),A\n JP 4500H', lamps, round)
      expect(report.score).toBe(0)
      return report.checks[0]?.message.startsWith('This passed by luck') === true
    })
    expect(ends).toContain(true)
  })
})

describe('doing nothing', () => {
  const stored = exerciseWith(
    [
      { kind: 'memory', want: [{ at: '4600h', bytes: '37 73' }] },
      { kind: 'digit-buffer', glyphs: 'DEPOT 37' },
      { kind: 'registers', want: { a: '0Bh', hl: '4602h' } },
    ],
    { groups: [{ id: 'all', title: 'All', marks: 100 }] },
  )

  it('passes no check of memory, digits or registers whatever stands in them', () => {
    for (const round of rounds) {
      for (const { marks, earning } of doNothingScore(drawnAnew(stored, round), benchEight)) {
        expect({ marks, earning }).toEqual({ marks: 0, earning: [] })
      }
    }
  })

  it('says which checks give marks for nothing', () => {
    const of = exerciseWith([{ kind: 'run-end' }, { kind: 'registers', want: { a: '0Bh' } }])
    expect(doNothingScore(of, benchEight)).toMatchObject([
      { what: 'ends', marks: 50, earning: [{ id: 'c0', marks: 50 }] },
      { what: 'loops', marks: 0, earning: [] },
    ])
  })
})

describe('bytes outside the program area are refused before anything runs', () => {
  it.each([
    ['data of the result', '4000: 76\n4600: 37 73', 'out-of-place', '4600h to 4601h'],
    ['the digit buffer', '4000: 76\n4700: 3F', 'out-of-place', '4700h'],
  ])('%s', (_, text, code, found) => {
    const report = grade({ format: 'hex', text }, exerciseOf('A2'), benchEight)
    expect(report).toMatchObject({ status: 'unreadable', score: 0 })
    expect(report.problems).toMatchObject([{ code, found, allowed: '4000h to 45FFh' }])
  })

  it.each([
    ['4700: 3F', '4700h', 'the digit buffer'],
    ['47F0: 00', '47F0h', 'the stack'],
    ['4710: 00', '4710h', 'the hook of the interrupt'],
    ['4602: 00', '4602h', 'what the exercise puts there'],
  ])('%s stays reserved where the exercise opens all of RAM', (line, found, holds) => {
    const of = exerciseWith([{ kind: 'run-end' }], {
      program: { ranges: [{ from: '4000h', to: '47FFh' }] },
      given: { memory: [{ at: '4600h', bytes: '01 02 03' }] },
    })
    const { problems } = grade({ format: 'hex', text: `4000: 76\n${line}` }, of, benchEight)
    expect(problems).toMatchObject([{ code: 'reserved', found }])
    expect(problems[0]?.message).toContain(holds)
  })

  it('the place of the program that calls the routine is reserved too', () => {
    const { format, text } = programOf('C6', 'model.asm')
    const report = grade({ format, text: `${text}\n ORG 4400H\n DB 1\n` }, exerciseOf('C6'), benchEight)
    expect(report.problems.map(({ code }) => code)).toContain('reserved')
  })
})
