import { afterEach, describe, expect, test, vi } from 'vitest'
import type { Cause, Diagnosis, Submission } from '../../../server/contract/index.ts'
import type { FoundDiagnosis } from '../../../server/diagnoses/found-diagnosis.ts'
import { openPool, type GraderPool } from '../../../server/grader/pool.ts'
import type { DiagnoseResult } from '../../../server/grader/task.ts'
import { deferred, inThread, openHouse, poolOf, reportOf, type House } from '../harness.ts'
import { openClass, rightProgram, sumYaml, wrongProgram, type Class } from '../sample.ts'

const houses: House[] = []
afterEach(async () => {
  for (const house of houses.splice(0)) await house.close()
})

async function houseWith(pool: GraderPool, source = sumYaml): Promise<{ house: House; group: Class; url: string }> {
  const house = await openHouse({ pool })
  houses.push(house)
  const group = await openClass(house, source)
  return { house, group, url: `/api/exercises/${group.exercise.id}/submissions` }
}

const waiting = { prefer: 'wait=30' }
const nothing: FoundDiagnosis = { causes: [], hint: null, repair: null, counterexample: null }

async function ended(group: Class, id: string): Promise<Diagnosis> {
  for (let i = 0; i < 1000; i++) {
    const diagnosis = await group.assistant.take<Diagnosis>('GET', `/api/submissions/${id}/diagnosis`)
    if (diagnosis.state !== 'looking') return diagnosis
    await new Promise((resolve) => setTimeout(resolve, 20))
  }
  throw new Error('the search did not end')
}

function cause(id: string, more: Partial<Cause> = {}): Cause {
  return {
    id,
    title: id,
    message: `The cause is ${id}.`,
    caseId: 'plain',
    step: 1,
    t: 10,
    address: 0x4003,
    line: null,
    found: '96',
    wanted: '86',
    card: null,
    checkIds: ['total'],
    certainty: 0.9,
    isVisible: true,
    ...more,
  }
}

describe('the diagnosis of a hand-in', () => {
  test('is found after the grade, and told', async () => {
    const { house, group, url } = await houseWith(inThread)
    const told: string[] = []
    house.app.news.on((news) => told.push(news.kind))
    const submission = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    expect(submission).toMatchObject({ state: 'graded', isFullMarks: false })
    const found = await ended(group, submission.id)
    expect(found).toMatchObject({
      state: 'ready',
      hint: 'One instruction between 4000h and 4004h is not what it should be.',
      repair: { kind: 'operation', at: 0x4003, found: [0x96], wouldBe: [0x86] },
    })
    // What each failing check asks its run of three steps, as of its end.
    expect(found.questions).toEqual([
      { checkId: 'total', caseId: 'plain', step: 3, target: { kind: 'register', register: 'a' }, never: null },
      {
        checkId: 'sealedcheck',
        caseId: 'secretcase',
        step: 3,
        target: { kind: 'register', register: 'a' },
        never: null,
      },
    ])
    expect(told.indexOf('diagnosis-ready')).toBeGreaterThan(told.indexOf('submission-graded'))
    expect((await group.student.take<Submission>('GET', `/api/submissions/${submission.id}`)).diagnosis).toBe('ready')
  })

  test('is not looked for when nothing failed', async () => {
    const { group, url } = await houseWith(inThread)
    const { id } = await group.student.take<Submission>('POST', url, rightProgram, waiting)
    expect(await group.student.take('GET', `/api/submissions/${id}/diagnosis`)).toMatchObject({
      state: 'none',
      causes: [],
      repair: null,
    })
    const unread = await group.student.take<Submission>('POST', url, { format: 'hex', text: 'no hex' }, waiting)
    expect((await ended(group, unread.id)).state).toBe('none')
  })

  test('of a hand-in that a later one replaced is looked for when somebody asks', async () => {
    const looked: string[] = []
    const bothAreIn = deferred()
    const { house, group, url } = await houseWith(
      poolOf(
        async () => {
          await bothAreIn.promise
          return reportOf(40)
        },
        1,
        async ({ program }) => {
          looked.push(program.text)
          return { ...nothing, hint: program.text }
        },
      ),
    )
    const first = await group.student.take<Submission>('POST', url, { format: 'hex', text: '00' })
    const second = await group.student.take<Submission>('POST', url, { format: 'hex', text: '01' })
    bothAreIn.resolve()
    await vi.waitFor(async () => {
      const rows = await house.database.prisma.submission.findMany({ orderBy: { number: 'asc' } })
      expect(rows.map(({ diagnosisState }) => diagnosisState)).toEqual(['none', 'ready'])
    }, 20_000)
    expect(looked).toEqual(['01'])
    expect(await ended(group, second.id)).toMatchObject({ state: 'ready', hint: '01' })
    expect(await ended(group, first.id)).toMatchObject({ state: 'ready', hint: '00' })
  })

  test('by a real thread is the one found here', async () => {
    const pool = openPool({ size: 1, wallSeconds: 60, onError: console.error })
    const { house } = await houseWith(inThread)
    const { document } = await house.database.prisma.exerciseRevision.findFirstOrThrow()
    const inputs = { program: wrongProgram, document, seed: 7, boardId: 'bench-8' }
    const report = await inThread.grade(inputs, () => {})
    const aside = (): Int32Array<SharedArrayBuffer> => new Int32Array(new SharedArrayBuffer(4))
    const there = await pool.diagnose({ ...inputs, report }, aside())
    expect(JSON.stringify(there)).toBe(JSON.stringify(await inThread.diagnose({ ...inputs, report }, aside())))
    const asked = aside()
    Atomics.store(asked, 0, 1)
    expect(await pool.diagnose({ ...inputs, report }, asked)).toBe('stood-aside')
    await pool.close()
  })

  test('that fails once is looked for again', async () => {
    let calls = 0
    const { group, url } = await houseWith(
      poolOf(
        async () => reportOf(40),
        1,
        async () => {
          calls += 1
          if (calls === 1) throw new Error('the thread was killed')
          return { ...nothing, hint: 'Look at line 3.' }
        },
      ),
    )
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    expect(await ended(group, id)).toMatchObject({ state: 'ready', hint: 'Look at line 3.' })
  })

  test('that fails every time is given up, and the grade stands', async () => {
    const { group, url } = await houseWith(
      poolOf(
        async () => reportOf(40),
        1,
        async () => {
          throw new Error('the engine gave way')
        },
      ),
    )
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    expect(await ended(group, id)).toMatchObject({ state: 'failed', causes: [] })
    expect(await group.student.take('GET', `/api/submissions/${id}`)).toMatchObject({ state: 'graded', score: 40 })
  })

  test('stands aside for a grade, and comes after it', async () => {
    const order: string[] = []
    let calls = 0
    const diagnose: GraderPool['diagnose'] = async (_inputs, aside): Promise<DiagnoseResult> => {
      calls += 1
      order.push(`search ${calls}`)
      if (calls > 1) return nothing
      while (Atomics.load(aside, 0) === 0) await new Promise((resolve) => setTimeout(resolve, 5))
      order.push('aside')
      return 'stood-aside'
    }
    const { group, url } = await houseWith(
      poolOf(
        async () => {
          order.push('grade')
          return reportOf(order.length === 1 ? 40 : 100)
        },
        1,
        diagnose,
      ),
    )
    const first = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    while (!order.includes('search 1')) await new Promise((resolve) => setTimeout(resolve, 5))
    await group.otherStudent.take<Submission>('POST', url, rightProgram, waiting)
    expect((await ended(group, first.id)).state).toBe('ready')
    expect(order).toEqual(['grade', 'search 1', 'aside', 'grade', 'search 2'])
  })
})

describe('what a student learns of it', () => {
  const found: FoundDiagnosis = {
    causes: [
      cause('sealed-cause', { isVisible: false, caseId: 'secretcase', checkIds: ['sealedcheck'] }),
      cause('wrong-operation', { checkIds: ['total', 'sealedcheck'] }),
    ],
    hint: 'One instruction between 4000h and 4004h is not what it should be.',
    repair: {
      kind: 'replace',
      at: 0x4003,
      line: null,
      found: [0x96],
      wouldBe: [0x86],
      instruction: { found: 'SUB (HL)', wouldBe: 'ADD A,(HL)' },
    },
    counterexample: {
      caseId: 'secretcase',
      title: 'Sealed title',
      isVisible: false,
      seed: 1,
      inputs: ['A = B1h'],
      isSmallest: true,
      check: {
        id: 'sealedcheck',
        title: 'Sealed check',
        kind: 'registers',
        isVisible: false,
        measured: 'A = 95h',
        wanted: 'A = CDh',
        message: 'A = 95h, wanted CDh.',
      },
    },
    questions: [
      { checkId: 'total', caseId: 'plain', step: 2, target: { kind: 'register', register: 'a' }, never: null },
      // A visible check that is decided on a hidden case, and a hidden one.
      { checkId: 'total', caseId: 'secretcase', step: 2, target: { kind: 'register', register: 'a' }, never: null },
      { checkId: 'sealedcheck', caseId: 'secretcase', step: null, target: null, never: 0x4003 },
    ],
  }

  async function toldTo(who: 'student' | 'assistant', more: string): Promise<Diagnosis> {
    const pool = poolOf(inThread.grade, 1, async () => found)
    const { group, url } = await houseWith(pool, sumYaml + more)
    const { id } = await group.student.take<Submission>('POST', url, wrongProgram, waiting)
    await ended(group, id)
    return group[who].take<Diagnosis>('GET', `/api/submissions/${id}/diagnosis`)
  }

  test('is what shows on visible runs and checks, and a hint that narrows', async () => {
    const told = await toldTo('student', '')
    expect(told).toMatchObject({ hint: found.hint, repair: null, counterexample: null })
    expect(told.causes.map(({ id, checkIds }) => [id, checkIds])).toEqual([['wrong-operation', ['total']]])
    expect(told.questions).toEqual(found.questions?.slice(0, 1))
  })

  test('is no hint where the exercise keeps it for staff', async () => {
    expect(await toldTo('student', 'repair: staff\n')).toMatchObject({ hint: null, repair: null })
  })

  test('is the edit itself where the exercise shows it', async () => {
    expect(await toldTo('student', 'repair: shown\n')).toMatchObject({ hint: found.hint, repair: found.repair })
  })

  test('staff learn all', async () => {
    const told = await toldTo('assistant', 'repair: staff\n')
    expect(told).toMatchObject({ hint: found.hint, repair: found.repair, counterexample: found.counterexample })
    expect(told.causes).toHaveLength(2)
    expect(told.questions).toEqual(found.questions)
  })
})
