import { describe, expect, test } from 'vitest'
import { gradeWith } from '../grade-with.ts'

const adding = '  LD B,3\n  XOR A\nLOOP: ADD A,B\n  DJNZ LOOP\n  HALT\n  LDIR\n'

describe('required-instruction', () => {
  const check = (fields: object, text = adding) => gradeWith('required-instruction', fields, text)

  test('one of several, or each of several, has to be executed', () => {
    expect(check({ any: ['LDIR', 'DJNZ'] })).toMatchObject({ outcome: 'passed', measured: 'LDIR or DJNZ at 4004h' })
    expect(check({ all: ['DJNZ', 'ADD A,B'] }).outcome).toBe('passed')
    expect(check({ all: ['DJNZ', 'ADD A,C'] })).toMatchObject({
      outcome: 'failed',
      message: 'ADD A,C was asked for and never executed.',
    })
  })
  test('what stands behind the HALT is written but not executed', () => {
    expect(check({ any: ['LDIR'] }).outcome).toBe('failed')
    expect(check({ any: ['LDIR'], how: 'written' }).outcome).toBe('passed')
  })
  test('operands and data that look like the instruction do not count', () => {
    // 10 FD as data, and 10h as an operand.
    expect(check({ any: ['DJNZ'] }, '  LD A,10H\n  HALT\n  DB 10H,0FDH\n').outcome).toBe('failed')
    expect(check({ any: ['DJNZ'], how: 'written' }, '  LD A,10H\n  HALT\n  DB 10H,0FDH\n').outcome).toBe('failed')
  })
})

describe('required-instruction in a loop', () => {
  const check = (fields: object, text: string) =>
    gradeWith('required-instruction', { any: ['LDIR', 'DJNZ'], ...fields }, text)
  const copying = '  LD HL,0\n  LD DE,4700H\n  LD BC,8\n  LDIR\n  HALT\n'

  test('has to turn often enough; every byte of LDIR is a turn', () => {
    expect(check({ least: 3 }, adding).outcome).toBe('passed')
    expect(check({ least: 4 }, adding)).toMatchObject({
      outcome: 'failed',
      measured: 'LDIR or DJNZ executed 3 times',
      message: 'LDIR or DJNZ is executed 3 times; wanted at least 4 times.',
    })
    expect(check({ least: 8 }, copying).outcome).toBe('passed')
    expect(check({ least: 9 }, copying).outcome).toBe('failed')
    expect(check({ least: 0 }, '  HALT\n').outcome).toBe('passed')
  })
  test('has to do the work: bytes stored one by one beside it are not its own', () => {
    const forShow = '  LD B,8\n  DJNZ $\n'
    const words = Array.from({ length: 4 }, (_, i) => `  LD (${0x4700 + 2 * i}),HL\n`).join('')
    const inTwos = '  LD HL,4700H\n  LD B,4\nTWO: LD (HL),0\n  INC L\n  LD (HL),1\n  INC L\n  DJNZ TWO\n  HALT\n'
    const writing = { from: 0x4700, to: 0x4707 }
    expect(check({ writing }, copying).outcome).toBe('passed')
    expect(check({ writing }, inTwos).outcome).toBe('passed')
    expect(check({ writing }, `${forShow}${words}  HALT\n`)).toMatchObject({
      outcome: 'failed',
      measured: '8 bytes of 8 written without a loop',
      message:
        'Of 4700h to 4707h 8 bytes are written by instructions that run only once, the first at 4004h; wanted a loop that writes them.',
      decidedAt: { address: 0x4004 },
    })
  })
})

describe('forbidden-instruction', () => {
  const check = (fields: object) => gradeWith('forbidden-instruction', fields, adding)

  test('is found where it is executed, and only then', () => {
    expect(check({ none: ['DJNZ'] })).toMatchObject({
      outcome: 'failed',
      message: 'DJNZ is ruled out, but one is executed at 4004h.',
      decidedAt: { address: 0x4004, t: 7 + 4 + 4 },
    })
    expect(check({ none: ['LDIR', 'JP'] }).outcome).toBe('passed')
    expect(check({ none: ['LDIR'], how: 'written' }).outcome).toBe('failed')
  })
})

describe('routines of the firmware', () => {
  const buzzing = '  LD HL,10\n  LD DE,48\n  CALL BUZZ\n  HALT\n'

  test('a call is found, and where it came from', () => {
    expect(gradeWith('calls-routine', { routine: 'BUZZ' }, buzzing)).toMatchObject({
      outcome: 'passed',
      measured: 'BUZZ called at 4006h',
    })
    expect(gradeWith('calls-routine', { routine: 'PAINT' }, buzzing)).toMatchObject({
      outcome: 'failed',
      message: 'The program never calls PAINT (0040h).',
    })
    expect(gradeWith('forbidden-routine', { routines: ['BUZZ'] }, buzzing)).toMatchObject({
      outcome: 'failed',
      message: 'The task rules out BUZZ, but the program goes there from 4006h.',
    })
    expect(gradeWith('forbidden-routine', { routines: ['PAINT', 'WAITMS'] }, buzzing).outcome).toBe('passed')
    expect(gradeWith('forbidden-routine', { all: true }, buzzing).outcome).toBe('failed')
    expect(gradeWith('forbidden-routine', { all: true }, adding).outcome).toBe('passed')
  })
  describe('counted', () => {
    const painting = (times: number): string =>
      `  LD B,${times}\nBACK: PUSH BC\n  CALL PAINT\n  POP BC\n  DJNZ BACK\n  HALT\n`
    const outcomes = (fields: object): readonly string[] =>
      [2, 3, 4].map((times) => gradeWith('calls-routine', { routine: 'PAINT', ...fields }, painting(times)).outcome)
    test('exactly, at least, at most so many: the limit, one less, one more', () => {
      expect(outcomes({ exactly: 3 })).toEqual(['failed', 'passed', 'failed'])
      expect(outcomes({ atLeast: 3 })).toEqual(['failed', 'passed', 'passed'])
      expect(outcomes({ atMost: 3 })).toEqual(['passed', 'passed', 'failed'])
      expect(outcomes({ atLeast: 2, atMost: 3 })).toEqual(['passed', 'passed', 'failed'])
    })
    test('once is once', () => {
      expect(gradeWith('calls-routine', { routine: 'PAINT', exactly: 1 }, painting(100))).toMatchObject({
        outcome: 'failed',
        measured: '100 calls',
        wanted: 'exactly 1 call of PAINT',
        message: 'The program calls PAINT (0040h) 100 times; wanted exactly 1 call of PAINT.',
      })
      expect(gradeWith('calls-routine', { routine: 'PAINT', exactly: 1 }, '  HALT\n').message).toBe(
        'The program never calls PAINT (0040h); wanted exactly 1 call of PAINT.',
      )
    })
    test('what the firmware calls for itself does not count', () => {
      const waiting = '  CALL GETKEY\n  HALT\n'
      const parts = { budget: '200 ms', given: { keys: [{ key: '5', at: '40 ms', for: '60 ms' }] } }
      expect(gradeWith('calls-routine', { routine: 'GETKEY', exactly: 1 }, waiting, parts).outcome).toBe('passed')
      expect(gradeWith('calls-routine', { routine: 'PAINT', exactly: 0 }, waiting, parts).outcome).toBe('passed')
    })
    test('a call whose first instruction an interrupt delays counts once', () => {
      // A tick comes at every phase of 200 calls sooner or later; the firmware's handler returns to where it was.
      const ticking = painting(200).replace('LD B', 'EI\n  LD B')
      const parts = { given: { timer: true } }
      expect(gradeWith('calls-routine', { routine: 'PAINT', exactly: 200 }, ticking, parts).measured).toBe('200 calls')
    })
  })
  test('one byte beside a routine is another place', () => {
    const beside = '  LD A,5\n  LD DE,48\n  LD HL,1\n  CALL BUZZ+1\n  HALT\n'
    expect(gradeWith('calls-routine', { routine: 'BUZZ' }, beside, { budget: '50 ms' }).outcome).toBe('failed')
  })
  test('what the firmware calls for itself is no call of the program', () => {
    const waiting = '  CALL GETKEY\n  HALT\n'
    const parts = { budget: '200 ms', given: { keys: [{ key: '5', at: '40 ms', for: '60 ms' }] } }
    expect(gradeWith('calls-routine', { routine: 'GETKEY' }, waiting, parts).outcome).toBe('passed')
    expect(gradeWith('calls-routine', { routine: 'PAINT' }, waiting, parts).outcome).toBe('failed')
  })
})
