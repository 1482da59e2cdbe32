import { describe, expect, test } from 'vitest'
import { gradeWith } from '../grade-with.ts'

/** Counts in RAM by interrupt, ten ticks, with this handler behind the hook at 4710h; then halts with interrupts off. */
const counting = (handler: string): string => `
        LD HL,TICK
        LD (4710H),HL
        LD HL,4600H
        LD (HL),0
        EI
WAIT:   LD A,(HL)
        CP 10
        JR C,WAIT
        DI
        HALT
TICK:   ${handler.trim()}
`
const good = `
        PUSH AF
        LD A,(4600H)
        INC A
        LD (4600H),A
        POP AF
        EI
        RET`

const timer = { given: { timer: true }, budget: '400 ms' }
const check = (fields: object, handler: string) => gradeWith('handler', fields, counting(handler), timer)

// Acceptance 13 T, the firmware's way to the hook 56 T, then 11 + 13 + 4 + 13 + 10 + 4 + 10.
const length = 13 + 56 + 65

describe('handler', () => {
  test('may take as long as the limit and no longer, acceptance and return included', () => {
    expect(check({ max: length }, good)).toMatchObject({
      outcome: 'passed',
      measured: '10 interrupts, the longest handler 134 T (53.6 µs)',
    })
    expect(check({ max: length - 1 }, good)).toMatchObject({
      outcome: 'out-of-tolerance',
      message: 'The handler of interrupt 1 took 134 T (53.6 µs); wanted at most 133 T (53.2 µs).',
    })
    expect(check({ max: length + 1 }, good).outcome).toBe('passed')
  })
  test('keeps the registers, flags included', () => {
    const spoilt = good.replace('PUSH AF', 'PUSH BC').replace('POP AF', 'POP BC')
    expect(check({}, spoilt)).toMatchObject({ outcome: 'failed' })
    expect(check({}, spoilt).message).toMatch(/^The handler of interrupt 1 came back with AF = .*; it was AF = /)
    expect(check({ registers: ['bc', 'de', 'hl'] }, spoilt).outcome).toBe('passed')
    // The second set is looked at only where asked.
    const swapped = good.replace('PUSH AF', "EX AF,AF'").replace('POP AF', "EX AF,AF'")
    expect(check({}, swapped).outcome).toBe('passed')
    expect(check({ registers: ['af_'] }, swapped).outcome).toBe('failed')
  })
  test('enables interrupts before it returns', () => {
    const without = good.replace('EI', 'NOP')
    expect(check({}, without)).toMatchObject({ outcome: 'failed' })
    expect(check({}, without).message).toContain('with interrupts disabled; wanted EI before the return.')
    expect(check({ enables: false }, without).outcome).toBe('passed')
  })
  test('RETI returns as RET does', () => {
    expect(check({ max: length + 4 }, good.replace('RET', 'RETI')).outcome).toBe('passed')
  })
  test('one that never goes back where it came is found', () => {
    const away = good.replace('RET', 'POP HL\n JP WAIT')
    expect(check({}, away).outcome).toBe('failed')
    expect(check({}, 'DI\n HALT')).toMatchObject({ outcome: 'failed' })
    expect(check({}, 'DI\nSTUCK: JR STUCK').message).toContain('never returned to')
  })
  test('a run without an interrupt says so', () => {
    const report = gradeWith('handler', {}, counting(good).replace('EI\nWAIT', 'NOP\nWAIT'), { budget: '400 ms' })
    expect(report).toMatchObject({ outcome: 'failed', message: 'No interrupt was accepted in this run.' })
  })
  test('an interrupt accepted inside the handler belongs to it', () => {
    // The first tick is handled for 12 ms with interrupts on: the second comes inside.
    const slow = `
        PUSH AF
        PUSH BC
        LD A,(4600H)
        INC A
        LD (4600H),A
        DEC A
        EI
        LD BC,1154
        JR NZ,DONE
LONG:   DEC BC
        LD A,B
        OR C
        JR NZ,LONG
DONE:   POP BC
        POP AF
        RET`
    expect(check({ max: '15 ms' }, slow).outcome).toBe('passed')
    expect(check({ max: '11 ms' }, slow).outcome).toBe('out-of-tolerance')
  })
})

test('interrupts are counted and lost on a real run as the timer ticks', () => {
  const fields = { accepted: 10, maxLost: 0 }
  expect(gradeWith('interrupts', fields, counting(good), timer)).toMatchObject({
    outcome: 'passed',
    measured: '10 interrupts accepted, none lost',
  })
  // The handler forgets to enable interrupts: one is accepted, one waits, all others are lost.
  const deaf = gradeWith('interrupts', fields, counting(good.replace('EI', 'NOP')), timer)
  expect(deaf).toMatchObject({ outcome: 'out-of-tolerance' })
  expect(deaf.measured).toMatch(/^1 interrupt accepted, \d+ lost$/)
})

test('interrupts accepted are bounded from one side or from both', () => {
  const at = (fields: object) => gradeWith('interrupts', fields, counting(good), timer)
  expect(at({ atLeast: 10, atMost: 10 })).toMatchObject({ outcome: 'passed', wanted: '10 accepted' })
  expect(at({ atLeast: 11, atMost: 13 })).toMatchObject({
    outcome: 'out-of-tolerance',
    message: '10 interrupts were accepted; wanted 11 to 13.',
  })
  expect(at({ atMost: 9 })).toMatchObject({ outcome: 'out-of-tolerance', wanted: 'at most 9 accepted' })
  expect(at({ atLeast: 9 }).outcome).toBe('passed')
})
