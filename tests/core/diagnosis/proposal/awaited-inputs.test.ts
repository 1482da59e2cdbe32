import { describe, expect, test } from 'vitest'
import { benchEight, type BoardProfile } from '../../../../core/board/index.ts'
import { draftExercise, type AwaitedInput, type Draft, type ExerciseDraft } from '../../../../core/diagnosis/index.ts'

const draft = (assembly: string, some: Partial<ExerciseDraft> = {}, board: BoardProfile = benchEight): Draft =>
  draftExercise(
    { title: 'At the gate', brief: 'See the board.', model: { format: 'assembly', text: assembly }, ...some },
    board,
  )
const waits = (told: Draft): readonly Partial<AwaitedInput>[] =>
  told.awaited.map(({ what, at, routine, isOpen }) => ({ what, at, routine, isOpen }))
const words = (told: Draft): readonly string[] => told.awaited.map((each) => each.words)

const getKey = ' CALL GETKEY\n LD (4600h),A\n HALT'
/** Column 3 selected, so key 3 on bit 0: 4004h is the IN. */
const ownScan = ' LD A,08h\n OUT (21h),A\nWAIT: IN A,(23h)\n AND 1\n JR Z,WAIT\n LD A,1\n LD (4600h),A\n HALT'
const three = { keys: [{ key: '3', at: '400 ms', for: '100 ms' }] }

describe('what a model answer waited for', () => {
  test('a key, through the firmware: the CALL and the routine, and how long', () => {
    expect(waits(draft(getKey, { fields: { budget: '1 s' } }))).toEqual([
      { what: 'key', at: 0x4000, routine: 'GETKEY', isOpen: true },
    ])
    const given = draft(getKey, { fields: { given: three } })
    expect(given.problems).toEqual([])
    expect(waits(given)).toMatchObject([{ isOpen: false }])
    expect(words(given)[0]).toMatch(/^Your answer waited for a key at 4000h in GETKEY for 4\d\d ms\.$/)
  })
  test('a key, by a scan of its own', () => {
    expect(waits(draft(ownScan))).toEqual([{ what: 'key', at: 0x4004, routine: null, isOpen: true }])
    expect(words(draft(ownScan))).toEqual(['Your answer waits for a key at 4004h, and none comes.'])
    expect(draft(ownScan, { fields: { given: three } }).problems).toEqual([])
  })
  test('a switch; one that is read once is looked at', () => {
    const wait = draft('WAIT: IN A,(25h)\n RLCA\n JR NC,WAIT\n HALT')
    expect(words(wait)).toEqual(['Your answer waits for a switch at 4000h, and none comes.'])
    const look = draft(' IN A,(25h)\n LD (4600h),A\n HALT')
    expect(look.problems).toEqual([])
    expect(words(look)).toEqual(['Your answer looked at the switches at 4000h.'])
  })
  const handler = 'TICK: PUSH AF\n LD A,(4600h)\n INC A\n LD (4600h),A\n POP AF\n EI\n RET'
  const start = ' XOR A\n LD (4600h),A\n LD HL,TICK\n LD (4710h),HL\n EI\n'
  const byHalt = `${start}AGAIN: HALT\n LD A,(4600h)\n CP 5\n JR NZ,AGAIN\n DI\n HALT\n${handler}`
  const byPolling = `${start}AGAIN: LD A,(4600h)\n CP 5\n JR NZ,AGAIN\n DI\n HALT\n${handler}`
  test('the timer, in HALT or by polling; with the timer on it ends and is not asked for', () => {
    for (const [assembly, said] of [
      [byHalt, 'Your answer halts at 400Bh with interrupts on, but the timer is off.'],
      [byPolling, 'Your answer lets interrupts in and goes round 400Bh to 4010h, but the timer is off.'],
    ] as const) {
      const off = draft(assembly)
      expect(waits(off)).toMatchObject([{ what: 'timer', isOpen: true }])
      expect(off.exercise).toBeNull()
      expect(off.problems[0]?.message).toBe(said)
      const on = draft(assembly, { fields: { given: { timer: true } } })
      expect(on.problems).toEqual([])
      expect(on.awaited).toEqual([])
      expect(on.exercise?.given?.timer).toBe(true)
    }
  })
  test('an author who leaves the timer off means it', () => {
    const told = draft(' LD A,5\n LD (4600h),A\n EI\n HALT', { fields: { given: { timer: false } } })
    expect(told.problems).toEqual([])
  })
  test('other ports and addresses are another board’s own', () => {
    const { keypad, switches, firmware } = benchEight
    const other: BoardProfile = {
      ...benchEight,
      id: 'gate-box',
      keypad: { ...keypad, rowPort: 0x41 },
      switches: switches === null ? null : { ...switches, port: 0x42 },
      firmware: { ...firmware, routines: [] },
    }
    expect(waits(draft('WAIT: IN A,(41h)\n AND 1\n JR Z,WAIT\n HALT', {}, other))).toMatchObject([
      { what: 'key', at: 0x4000, isOpen: true },
    ])
    expect(waits(draft('WAIT: IN A,(42h)\n AND 1\n JR Z,WAIT\n HALT', {}, other))).toMatchObject([{ what: 'switches' }])
    expect(draft('WAIT: IN A,(23h)\n AND 1\n JR NZ,WAIT\n HALT', {}, other).awaited).toEqual([])
  })
})

describe('a model answer that does not end', () => {
  const kinds = (told: Draft): readonly unknown[] => told.proposals.map(({ check }) => check['kind'])
  test('is told where it goes round, and nothing is drafted', () => {
    const told = draft(' LD A,1\nHERE: JR HERE')
    expect(told.exercise).toBeNull()
    expect(told.proposals).toEqual([])
    expect(told.problems[0]?.message).toBe('Your answer never ends: it goes round the instruction at 4002h for ever.')
  })
  test('is told what it waits for, with keys that did not suffice', () => {
    const told = draft(` CALL GETKEY\n${getKey}`, { fields: { given: three, budget: '2 s' } })
    expect(told.problems[0]?.message).toBe(
      'Your answer was waiting for a key at 4003h in GETKEY when the run was stopped after 2 s. It had one key.',
    )
  })
  test('within the usual budget but later gets a budget in which it ends', () => {
    const told = draft(' LD BC,20000\n CALL WAITMS\n LD A,1\n LD (4600h),A\n HALT')
    expect(told.problems).toEqual([])
    expect(told.exercise?.budget).toEqual({ amount: 25, unit: 's' })
    expect(told.remarks).toHaveLength(1)
  })
  test('and is meant to run on: what is seen of it is checked, its end and bytes are not', () => {
    const sign = ' LD B,8\n LD HL,4700h\nNEXT: LD (HL),77h\n INC HL\n DJNZ NEXT\nSHOW: CALL PAINT\n JR SHOW'
    const told = draft(sign, { ending: 'runs-on', lasts: '2 s' })
    expect(told.problems).toEqual([])
    expect(told.exercise?.budget).toEqual({ amount: 2, unit: 's' })
    expect(kinds(told)).toContain('digits-seen')
    for (const kind of ['program-bytes', 'run-end', 't-states', 'memory']) expect(kinds(told)).not.toContain(kind)
  })
  test('runs on and shows nothing: told so', () => {
    expect(draft('HERE: JR HERE', { ending: 'runs-on' }).problems[0]?.code).toBe('nothing-seen')
    expect(draft(' HALT', { ending: 'runs-on' }).problems[0]?.code).toBe('early-end')
  })
  test('has its bytes checked only where the author says that they are the answer', () => {
    expect(kinds(draft('HERE: JR HERE', { ending: 'sheet' }))).toEqual(['program-bytes'])
  })
  test('that halts where it should return is told so', () => {
    const told = draft(' LD A,1\n HALT', { fields: { program: { ends: 'return' } } })
    expect(told.problems[0]?.message).toContain('should end with RET')
  })
})
