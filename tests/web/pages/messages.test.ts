import { describe, expect, test } from 'vitest'
import type { Cause, Diagnosis, FeedbackMessage } from '../../../server/contract/index.ts'
import { areChecksFirst, drawn, messageOfCheck } from '../../../web/pages/submission/messages.ts'

const cause: Cause = {
  id: 'carry-lost',
  title: 'The carry is lost',
  message: 'XOR A clears it.',
  caseId: 'plain',
  step: 3,
  t: 20,
  address: 0x4004,
  line: 4,
  found: 'XOR A',
  wanted: 'LD A,0',
  card: 'carry-lost',
  checkIds: ['sum'],
  certainty: 0.9,
  isVisible: true,
}
const message = (id: string, more: Partial<FeedbackMessage> = {}): FeedbackMessage => ({
  id,
  kind: id.split('.')[0] as FeedbackMessage['kind'],
  text: `text of ${id}`,
  checkId: null,
  causeId: null,
  at: null,
  ...more,
})
const usual = message('mistake.carry-lost', { causeId: 'carry-lost', text: 'The carry is lost. XOR A clears it.' })
const concept = message('concept.carry-lost', { causeId: 'carry-lost' })
const found = (feedback: FeedbackMessage[], more: Partial<Diagnosis> = {}): Diagnosis => ({
  submissionId: 's',
  state: 'ready',
  causes: [cause],
  hint: null,
  repair: null,
  counterexample: null,
  questions: [],
  feedback,
  order: null,
  cards: { 'carry-lost': { title: 'Carry', text: 'What it is.', example: 'An example.' } },
  ...more,
})

describe('what is drawn under what went wrong', () => {
  test('a cause with its card, in its own words', () => {
    expect(drawn(found([usual, concept]))).toEqual([
      expect.objectContaining({
        what: 'cause',
        text: 'XOR A clears it.',
        card: expect.objectContaining({ title: 'Carry' }),
      }),
    ])
  })

  test('without the card where cards are switched off, and in other words where there are some', () => {
    expect(drawn(found([{ ...usual, text: 'Mind the carry.' }]))).toEqual([
      expect.objectContaining({ text: 'Mind the carry.', card: null }),
    ])
  })

  test('no cause whose message is switched off', () => {
    expect(drawn(found([message('reflect.guess')]))).toEqual([expect.objectContaining({ what: 'message' })])
  })

  test('in the order in which the messages come; what has a place of its own is left out', () => {
    const list = [message('result.report'), message('gap.sum', { checkId: 'sum' }), message('reflect.guess'), usual]
    expect(drawn(found(list)).map(({ id }) => id)).toEqual(['reflect.guess', 'mistake.carry-lost'])
  })
})

test('a check is said in the words of its message, and nothing where that is switched off', () => {
  const gap = message('gap.sum', { checkId: 'sum' })
  expect(messageOfCheck(null, 'sum')).toBeUndefined()
  expect(messageOfCheck(found([gap]), 'sum')).toBe(gap)
  expect(messageOfCheck(found([]), 'sum')).toBeNull()
})

test.each([
  [null, false],
  [['mistake', 'gap'], false],
  [['gap', 'mistake'], true],
  [['gap'], true],
  [['reflect'], false],
] as const)('with the order %j checks come first: %s', (order, isFirst) => {
  expect(areChecksFirst(found([], { order: order === null ? null : [...order] }))).toBe(isFirst)
})
