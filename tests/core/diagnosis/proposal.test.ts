import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { draftExercise, probe, proposeChecks, type Draft, type ExerciseDraft } from '../../../core/diagnosis/index.ts'
import { parseExercise } from '../../../core/exercise/index.ts'
import { filesOf, folders } from '../exercise/tram-depot.ts'
import { drafted, reportWith } from './drafted.ts'

const draft = (assembly: string, some: Partial<ExerciseDraft> = {}): Draft =>
  draftExercise(
    { title: 'Carry the fare', brief: 'Add the two bytes.', model: { format: 'assembly', text: assembly }, ...some },
    benchEight,
  )
/** The checks by id, each as its kind's fields. */
const checksOf = ({ proposals }: Draft): Readonly<Record<string, Readonly<Record<string, unknown>>>> =>
  Object.fromEntries(proposals.map(({ check }) => [String(check['id']), check]))

describe('checks proposed from a model answer', () => {
  const add = draft(' LD HL,4600h\n LD A,(HL)\n INC HL\n ADD A,(HL)\n LD (4602h),A\n HALT', {
    fields: { cases: [{ id: 'one', given: { memory: [{ at: '4600h', bytes: '03 04' }] } }] },
  })
  test('the bytes that it leaves, and no others', () => {
    expect(add.problems).toEqual([])
    expect(checksOf(add)['memory']).toMatchObject({
      kind: 'memory',
      want: [{ at: '4602h', bytes: 'model', length: 1 }],
    })
    expect(checksOf(add)['no-other-write']).toMatchObject({
      noOtherWrite: true,
      except: [{ from: '4602h', to: '4602h' }],
    })
  })
  test('a fifth to spare for size and time: 10 bytes give 12, 47 T give 57', () => {
    expect(add.size).toBe(10)
    expect(add.runs[0]?.tStates).toBe(47)
    expect(checksOf(add)['size']).toMatchObject({ max: 12 })
    expect(checksOf(add)['time']).toMatchObject({ max: '57 T' })
  })
  test('bytes that it reads are drawn in a hidden case', () => {
    const { exercise } = add
    expect(exercise?.cases.at(-1)).toMatchObject({ id: 'drawn', visible: false, draws: [{ at: 0x4600, length: 2 }] })
    expect(checksOf(add)['memory-others']).toMatchObject({ cases: ['drawn'], visible: false })
  })
  test('bytes that it reads and nobody gave are given as they were, and drawn too', () => {
    const told = draft(' LD A,(4600h)\n LD HL,4602h\n ADD A,(HL)\n LD (4610h),A\n HALT')
    expect(told.problems).toEqual([])
    const [first, drawn] = told.exercise?.cases ?? []
    expect(first?.given?.memory).toMatchObject([
      { at: 0x4600, bytes: [expect.any(Number)] },
      { at: 0x4602, bytes: [expect.any(Number)] },
    ])
    expect(drawn).toMatchObject({ id: 'drawn', visible: false, draws: [{ at: 0x4600 }, { at: 0x4602 }] })
    expect(checksOf(told)['memory-others']).toMatchObject({ cases: ['drawn'] })
  })
  test('a case that the author wrote stays as it is, whatever is read', () => {
    const cases = [{ id: 'mine' }]
    const told = draft(' LD A,(4600h)\n LD (4610h),A\n HALT', { fields: { cases } })
    expect(told.document['cases']).toEqual(cases)
  })
  test('each proposal has a reason, and the document reads as it stands', () => {
    for (const { reason } of add.proposals) expect(reason).toMatch(/\.$/)
    expect(parseExercise(add.document).isOk).toBe(true)
  })
  test('what the task names is asked for', () => {
    const told = draft(' LD B,3\n LD A,0\nNEXT: ADD A,B\n DJNZ NEXT\n HALT', {
      brief: 'Count with DJNZ. Leave the sum in A. BUZZ must not be used.',
    })
    expect(checksOf(told)['instructions']).toMatchObject({ kind: 'required-instruction', any: ['DJNZ'] })
    expect(checksOf(told)['registers']).toMatchObject({ want: { a: 6 } })
    expect(checksOf(told)['without-buzz']).toMatchObject({ routines: ['BUZZ'] })
  })
  test('a tone: frequency, edges and how it is left', () => {
    const told = draft(
      ' XOR A\n LD DE,500\nBELL: XOR 1\n OUT (22h),A\n LD B,92\nWAIT: DJNZ WAIT\n LD C,A\n DEC DE\n LD A,D\n OR E\n LD A,C\n JR NZ,BELL\n HALT',
    )
    expect(checksOf(told)['tone']).toMatchObject({ kind: 'speaker', frequency: 1000, edges: 500 })
    expect(checksOf(told)['silent-end']).toMatchObject({ endLevel: 0 })
  })
  test('a program one slip from right has 60 at least, unless the author says otherwise or the bytes are the answer', () => {
    expect(add.exercise?.nearlyRight).toBe(60)
    const own = draft(' LD A,5\n INC A\n LD (4600h),A\n HALT', { fields: { nearlyRight: 40 } })
    expect(own.exercise?.nearlyRight).toBe(40)
    const sheet = draft(' LD A,5\n INC A\n LD (4600h),A\n HALT', { ending: 'sheet' })
    expect(sheet.exercise?.nearlyRight).toBeNull()
  })
  test('a model answer that cannot be read is a problem with its line', () => {
    const { exercise, problems } = draft(' LD A,(5\n HALT')
    expect(exercise).toBeNull()
    expect(problems[0]?.message).toMatch(/^line 1: /)
  })
  test('progress can stop it', () => {
    const stopped = draftExercise(
      { title: 'x', brief: 'x', model: { format: 'assembly', text: ' HALT' } },
      benchEight,
      {
        onProgress: () => false,
      },
    )
    expect(stopped).toMatchObject({ isStopped: true, exercise: null })
  })
  test('proposals alone', () => {
    const model = { format: 'assembly', text: ' HALT' } as const
    expect(proposeChecks({ title: 'x', brief: 'x', model }, benchEight).map(({ check }) => check['id'])).toContain(
      'halts',
    )
  })
})

describe('the demo course, drafted anew from task, runs and model answer', () => {
  const others: number[] = []
  test.each(folders)('%s: the model answer gets full marks', { timeout: 60_000 }, (folder) => {
    const told = drafted(folder)
    expect(told.problems).toEqual([])
    const names = Object.keys(filesOf(folder))
    const file = (prefix: string): string => names.find((name) => name.startsWith(prefix)) ?? ''
    expect(reportWith(told, folder, file('model.'))).toMatchObject({ score: 100 })
    others.push(reportWith(told, folder, file('other.'))?.score ?? 0)
  })
  // D4's second answer is refused: in one case its display shows a byte of the program itself.
  test('at least 22 of the 24 second answers do too', () => {
    expect(others.length).toBe(folders.length)
    expect(others.filter((score) => score === 100).length).toBeGreaterThanOrEqual(22)
  })
  test.each(['A4', 'B5', 'C1', 'D5'])('%s: what is chosen catches 95 %% of what is no longer right', (folder) => {
    const { exercise } = drafted(folder)
    if (exercise === null) throw new Error('it is complete')
    expect(probe(exercise, benchEight, { most: 100 })?.score).toBeGreaterThanOrEqual(95)
  })
})

describe('what another right answer may do otherwise is not chosen of itself', () => {
  const withBrief = (brief: string): Draft => draft(' LD A,5\n LD (4600h),A\n LD B,1\n LD (4610h),A\n HALT', { brief })
  const chosen = ({ proposals }: Draft, id: string): boolean | undefined =>
    proposals.find(({ check }) => check['id'] === id)?.isChosen
  const reasonOf = ({ proposals }: Draft, id: string): string =>
    proposals.find(({ check }) => check['id'] === id)?.reason ?? ''

  test('size and time, unless the task limits them', () => {
    const free = withBrief('Put 5 into 4600h.')
    const limited = withBrief('Put 5 into 4600h. At most 20 bytes, and 100 T.')
    expect([chosen(free, 'size'), chosen(free, 'time')]).toEqual([false, false])
    expect(reasonOf(free, 'size')).toContain('only if the task limits the size')
    expect([chosen(limited, 'size'), chosen(limited, 'time')]).toEqual([true, true])
    expect(checksOf(limited)['size']).toMatchObject({ max: 20 })
  })
  test('a register beside another result, unless the task leaves a result in it', () => {
    expect(chosen(withBrief('Put 5 into 4600h. The count goes in register B.'), 'registers')).toBe(false)
    expect(chosen(withBrief('Put 5 into 4600h. The result is in register B.'), 'registers')).toBe(true)
  })
  test('bytes for variables are no results, and may be written to', () => {
    const told = withBrief('Put 5 into 4600h. For variables take 4610h to 461Fh.')
    expect(checksOf(told)['memory']).toMatchObject({ want: [{ at: '4600h' }] })
    expect(checksOf(told)['no-other-write']).toMatchObject({
      except: [
        { from: '4600h', to: '4600h' },
        { from: '4610h', to: '461Fh' },
      ],
    })
  })
})
