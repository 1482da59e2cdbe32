import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import {
  diagnose,
  feedbackCatalogue,
  feedbackFor,
  feedbackProblems,
  mergedFeedback,
  type Cause,
  type FeedbackRequest,
  type ToldDiagnosis,
} from '../../../../core/diagnosis/index.ts'
import { feedbackKinds, readOptionsFor, type FeedbackSettings } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import { exerciseOf, programOf } from '../../exercise/tram-depot.ts'

const plain: FeedbackSettings = { order: null, off: [], texts: {} }
const a4 = exerciseOf('A4')

function requestFor(file: string, part: Partial<FeedbackRequest> = {}): FeedbackRequest {
  const program = readProgram(programOf('A4', file), readOptionsFor(a4, benchEight))
  const report = gradeProgram(program, a4, benchEight)
  const diagnosis = diagnose(program, a4, benchEight, report)
  return { report, diagnosis, exercise: a4, settings: plain, reader: 'student', ...part }
}
const wrong = requestFor('wrong-xor-clears-carry.asm')
const idsOf = (request: FeedbackRequest): readonly string[] => feedbackFor(request).map(({ id }) => id)

describe('every message carries its kind', () => {
  test('and comes in the usual order of the kinds', () => {
    const kinds = feedbackFor(wrong).map(({ kind }) => feedbackKinds.indexOf(kind))
    expect(kinds).toEqual(kinds.toSorted((a, b) => a - b))
    expect(new Set(kinds).size).toBeGreaterThanOrEqual(6)
  })
  test('the id begins with it', () => {
    for (const { id, kind } of feedbackFor(wrong)) expect(id.split('.')[0]).toBe(kind)
  })
  test('the mistake that was made is told, with the step at which it shows and its card', () => {
    const mistake = feedbackFor(wrong).find(({ kind }) => kind === 'mistake')
    expect(mistake).toMatchObject({ id: 'mistake.flag-clobbered', causeId: 'flag-clobbered' })
    expect(mistake?.at).toMatchObject({ address: 0x4009 })
    expect(idsOf(wrong)).toContain('concept.flag-clobbered')
  })
  test('a passing hand-in gets its result and a question to itself, and no mistake', () => {
    expect(idsOf(requestFor('model.asm'))).toEqual(['result.report', 'reflect.passed'])
  })
  test('a program that cannot be read is told where', () => {
    const program = readProgram({ format: 'assembly', text: ' LD A,\n' }, readOptionsFor(a4, benchEight))
    const report = gradeProgram(program, a4, benchEight)
    const messages = feedbackFor({ ...wrong, report, diagnosis: null })
    expect(messages.map(({ id }) => id)).toEqual(['result.report', 'how-to-go-on.unreadable'])
    expect(messages[0]?.text).toContain(report.problems[0]?.message)
  })
})

describe('settings', () => {
  test('order the kinds, those left out last', () => {
    const [first] = feedbackFor({ ...wrong, settings: { ...plain, order: ['reflect', 'mistake'] } })
    expect(first?.id).toBe('reflect.guess')
  })
  test('switch off a kind, or one message', () => {
    const off = ['concept', 'mistake.flag-clobbered']
    const ids = idsOf({ ...wrong, settings: { ...plain, off } })
    expect(ids.filter((id) => id.startsWith('concept') || id === 'mistake.flag-clobbered')).toEqual([])
    expect(ids).toContain('reflect.guess')
  })
  test('word a message anew', () => {
    const settings = { ...plain, texts: { 'reflect.guess': 'Tell your neighbour first.' } }
    expect(feedbackFor({ ...wrong, settings }).find(({ id }) => id === 'reflect.guess')?.text).toBe(
      'Tell your neighbour first.',
    )
  })
  test('of an exercise win over those of the course; what the course switches off stays off', () => {
    const course: FeedbackSettings = {
      order: ['gap'],
      off: ['reflect'],
      texts: { 'gap.sum': 'course', 'gap.any-fares': 'course' },
    }
    const own: FeedbackSettings = { order: null, off: ['concept'], texts: { 'gap.sum': 'exercise' } }
    expect(mergedFeedback(course, own)).toEqual({
      order: ['gap'],
      off: ['reflect', 'concept'],
      texts: { 'gap.sum': 'exercise', 'gap.any-fares': 'course' },
    })
  })
  test('that name no message are problems that say what is allowed', () => {
    const settings: FeedbackSettings = {
      order: null,
      off: ['mistake.cary-lost', 'gap'],
      texts: { 'gap.summ': 'x', 'gap.sum': 'x' },
    }
    const problems = feedbackProblems(settings, a4)
    expect(problems.map(({ found, nearest }) => [found, nearest])).toEqual([
      ["'mistake.cary-lost'", 'mistake.carry-lost'],
      ["'gap.summ'", 'gap.sum'],
    ])
    for (const { message } of problems) expect(message).toMatch(/allowed .*gap\.|allowed .*mistake\./)
  })
  test('of a course may name checks of any exercise, but no unknown cause', () => {
    expect(feedbackProblems({ ...plain, off: ['gap.anything'] }, null)).toEqual([])
    expect(feedbackProblems({ ...plain, off: ['mistake.unknown'] }, null)).toHaveLength(1)
  })
  test('every message given stands in the catalogue', () => {
    const known = new Set(feedbackCatalogue(a4).map(({ id }) => id))
    for (const file of ['wrong-no-carry.asm', 'wrong-sheet-only.asm', 'model.asm']) {
      for (const reader of ['student', 'staff'] as const) {
        const given = idsOf(requestFor(file, { reader })).filter((id) => !id.includes('.hidden-'))
        expect(given.filter((id) => !known.has(id))).toEqual([])
      }
    }
  })
})

describe('a student', () => {
  const secret = 'EE EE'
  const cause = (part: Partial<Cause>): ToldDiagnosis['causes'][number] => ({
    ...{
      id: 'carry-lost',
      title: 'The carry is lost',
      message: secret,
      caseId: 'drawn-1',
      step: 1,
      t: 1,
      address: 0x4000,
    },
    ...{ checkIds: ['any-fares'], isVisible: false },
    ...part,
  })
  const given = (diagnosis: ToldDiagnosis): string => JSON.stringify(feedbackFor({ ...wrong, diagnosis }))

  test('is told nothing that shows only on hidden cases or checks', () => {
    const counterexample = {
      isVisible: false,
      inputs: [secret],
      check: { id: 'any-fares', isVisible: false, measured: secret, wanted: secret },
    }
    expect(given({ causes: [cause({})], counterexample })).not.toContain(secret)
    expect(
      given({ causes: [cause({ isVisible: true, checkIds: ['any-fares'] })], counterexample: null }),
    ).not.toContain(secret)
    expect(given({ causes: [cause({ isVisible: true, checkIds: ['sum'] })], counterexample: null })).toContain(secret)
  })
  test('sees of hidden checks the category alone, whatever the report holds', () => {
    const checks = wrong.report.checks.map((check) =>
      check.isVisible ? check : { ...check, message: secret, measured: secret },
    )
    expect(JSON.stringify(feedbackFor({ ...wrong, report: { ...wrong.report, checks } }))).not.toContain(secret)
  })
  test('gets the narrowing sentence only where the exercise does not keep the edit for staff', () => {
    const diagnosis = {
      causes: [],
      counterexample: null,
      hint: 'One byte between 4000h and 4007h is not what it should be.',
    }
    const ids = (repair: 'staff' | 'narrowed'): readonly string[] =>
      idsOf({ ...wrong, diagnosis, exercise: { ...a4, repair } })
    expect(ids('narrowed')).toContain('how-to-go-on.narrowed')
    expect(ids('staff')).not.toContain('how-to-go-on.narrowed')
  })
  test('reads the smallest input that goes wrong with what was found and wanted', () => {
    const check = { id: 'sum', isVisible: true, measured: '00 00', wanted: '00 01' }
    const diagnosis = { causes: [], counterexample: { isVisible: true, inputs: ['4600h: 00 01'], check } }
    const message = feedbackFor({ ...wrong, diagnosis }).find(({ id }) => id === 'how-to-go-on.smallest')
    expect(message?.text).toMatch(/4600h: 00 01.*Found 00 00, wanted 00 01/)
  })
})
