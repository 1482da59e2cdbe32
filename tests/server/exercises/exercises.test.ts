import { afterAll, beforeAll, describe, expect, test } from 'vitest'
import type {
  Exercise,
  ExerciseList,
  ProblemDetails,
  RevisionList,
  Submission,
} from '../../../server/contract/index.ts'
import { readDocument } from '../../../server/exercises/document.ts'
import { ApiError } from '../../../server/errors.ts'
import { openHouse, type House } from '../harness.ts'
import { openClass, rightProgram, sumYaml, type Class } from '../sample.ts'

function faultsOf(source: string): readonly unknown[] {
  try {
    readDocument(source)
  } catch (error) {
    if (error instanceof ApiError) return [error.code, ...error.faults]
    throw error
  }
  return []
}

describe('an exercise document', () => {
  test('is read with title, first sentence and digest', () => {
    const { revision } = readDocument(sumYaml)
    expect(revision).toMatchObject({
      code: 'sum',
      title: 'A sum',
      summary: 'Add the byte at 4600h to A.',
      boardId: 'bench-8',
    })
    expect(revision.digest).toMatch(/^[0-9a-f]{64}$/)
  })

  test('with an unknown check is refused at the line of the check', () => {
    const source = sumYaml.replace('id: total, kind: registers', 'id: total, kind: registres')
    expect(faultsOf(source)).toEqual([
      'exercise-document-wrong',
      expect.objectContaining({
        pointer: '/checks/0/kind',
        line: source.split('\n').findIndex((line) => line.includes('registres')) + 1,
        message: expect.stringContaining("'registres'"),
      }),
    ])
  })

  test('with several mistakes is told all of them', () => {
    const source = sumYaml.replace('title: A sum', 'titel: A sum').replace('marks: 100', 'marks: lots')
    const [code, ...faults] = faultsOf(source) as [string, ...{ pointer: string }[]]
    expect(code).toBe('exercise-document-wrong')
    expect(faults.map((fault) => fault.pointer)).toEqual(
      expect.arrayContaining(['/titel', '/title', '/groups/0/marks']),
    )
  })

  test('that is no YAML is refused with the place', () => {
    expect(faultsOf('a: [1,\nb: 2')).toEqual([
      'exercise-document-wrong',
      expect.objectContaining({ code: 'yaml', line: 2 }),
    ])
  })

  test('whose aliases multiply is refused', () => {
    const bomb = [
      'a: &a [x,x,x,x,x,x,x,x,x]',
      ...'bcdefgh'.split('').map((name, i) => {
        const before = 'abcdefg'[i]
        return `${name}: &${name} [${Array.from({ length: 9 }, () => `*${before}`).join(',')}]`
      }),
    ].join('\n')
    expect(faultsOf(bomb)).toEqual(['exercise-document-wrong', expect.objectContaining({ code: 'yaml' })])
  })

  test('for a board that is not installed is refused', () => {
    expect(faultsOf(sumYaml.replace('board: bench-8', 'board: bench-9'))).toEqual(['board-unknown'])
  })

  test('with a tag that would make something of it is plain data', () => {
    expect(faultsOf(sumYaml.replace('title: A sum', "title: !!js/function 'function () {}'"))).not.toContain('yaml')
  })
})

describe('an exercise', () => {
  let house: House
  let group: Class
  beforeAll(async () => {
    house = await openHouse()
    group = await openClass(house)
  })
  afterAll(() => house.close())

  test('keeps every revision, and every submission its own', async () => {
    const path = `/api/exercises/${group.exercise.id}`
    const before = await group.student.take<Submission>('POST', `${path}/submissions`, rightProgram)
    const source = sumYaml.replace('title: A sum', 'title: The sum')
    const saved = await group.instructor.take<Exercise>('PUT', path, { source, revision: 1 })
    expect(saved).toMatchObject({ revision: 2, title: 'The sum', source })
    const after = await group.student.take<Submission>('POST', `${path}/submissions`, rightProgram)
    expect([before.exerciseRevision, after.exerciseRevision]).toEqual([1, 2])
    const { revisions } = await group.assistant.take<RevisionList>('GET', `${path}/revisions`)
    expect(revisions.map((each) => [each.number, each.createdBy.displayName])).toEqual([
      [2, 'Ines Okafor'],
      [1, 'Ines Okafor'],
    ])
  })

  test('is not overwritten by somebody who edited an older revision', async () => {
    const response = await group.instructor.request('PUT', `/api/exercises/${group.exercise.id}`, {
      source: sumYaml,
      revision: 1,
    })
    expect(response.json<ProblemDetails>().code).toBe('revision-outdated')
  })

  test('has a code that is unique in its course', async () => {
    const response = await group.instructor.post(`/api/courses/${group.course.id}/exercises`, { source: sumYaml })
    expect(response.json<ProblemDetails>().code).toBe('exercise-code-taken')
    const { courses } = await group.outsider.take<{ courses: { id: string }[] }>('GET', '/api/courses')
    await group.outsider.take('POST', `/api/courses/${courses[0]?.id}/exercises`, { source: sumYaml })
  })

  test('with a wrong document saves nothing', async () => {
    const count = await house.database.prisma.exercise.count()
    const source = sumYaml.replace('id: sum', 'id: other').replace('kind: registers', 'kind: regs')
    const response = await group.instructor.post(`/api/courses/${group.course.id}/exercises`, { source })
    expect(response.json<ProblemDetails>()).toMatchObject({ status: 422, code: 'exercise-document-wrong' })
    expect(response.json<ProblemDetails>().errors?.[0]).toMatchObject({
      pointer: '/checks/0/kind',
      line: expect.any(Number),
    })
    expect(await house.database.prisma.exercise.count()).toBe(count)
  })

  test('takes times in order only, a null takes one away', async () => {
    const path = `/api/exercises/${group.exercise.id}`
    const times = { opensAt: '2026-01-01T08:00:00Z', dueAt: '2036-01-02T08:00:00Z' }
    expect(await group.instructor.take<Exercise>('PATCH', path, times)).toMatchObject({
      opensAt: '2026-01-01T08:00:00.000Z',
      state: 'open',
    })
    const wrong = await group.instructor.request('PATCH', path, { closesAt: '2027-01-01T00:00:00Z' })
    expect(wrong.json<ProblemDetails>().code).toBe('times-out-of-order')
    const nonsense = await group.instructor.request('PATCH', path, { dueAt: 'next Tuesday' })
    expect(nonsense.json<ProblemDetails>().errors?.[0]?.pointer).toBe('/dueAt')
    const freed = await group.instructor.take<Exercise>('PATCH', path, { opensAt: null, dueAt: null })
    expect(freed).toMatchObject({ opensAt: null, dueAt: null })
  })

  test('shows a student the own standing, and staff the counts', async () => {
    const path = `/api/courses/${group.course.id}/exercises`
    const forStudent = await group.student.take<ExerciseList>('GET', path)
    expect(forStudent.exercises[0]).toMatchObject({ standing: { attempts: 2, state: 'waiting' }, counts: null })
    const forStaff = await group.assistant.take<ExerciseList>('GET', path)
    expect(forStaff.exercises[0]).toMatchObject({ standing: null, counts: { handedIn: 1, waiting: 1, students: 2 } })
  })

  test('that is a draft is there for staff only', async () => {
    const draft = await group.instructor.take<Exercise>('POST', `/api/courses/${group.course.id}/exercises`, {
      source: sumYaml.replace('id: sum', 'id: draft'),
    })
    expect(draft.state).toBe('draft')
    expect((await group.student.get(`/api/exercises/${draft.id}`)).statusCode).toBe(404)
    const { exercises } = await group.student.take<ExerciseList>('GET', `/api/courses/${group.course.id}/exercises`)
    expect(exercises.map((each) => each.code)).toEqual(['sum'])
    expect((await group.assistant.get(`/api/exercises/${draft.id}`)).statusCode).toBe(200)
  })
})
