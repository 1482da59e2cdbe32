import { expect, test } from 'vitest'
import type { Survivor } from '../../../core/diagnosis/index.ts'
import { survivorGroups } from '../../../web/pages/exercise-editor/survivor-groups.ts'

const survivor = (
  at: number,
  some: Partial<Survivor['suggestion']> = {},
  kind: Survivor['kind'] = 'operand',
): Survivor => ({
  ...{ kind, at, found: 'LD B,5', wouldBe: 'LD B,6' },
  suggestion: {
    check: { kind: 'speaker', edges: 500 },
    caseId: 'run',
    needsRuns: false,
    plainCase: null,
    words: `On ${at}`,
    title: 'How often the cone moves',
    isTried: false,
    ...some,
  },
})

test('survivors of one kind that one check would catch are one line', () => {
  const groups = survivorGroups([survivor(1), survivor(2), survivor(3, { caseId: 'other' }), survivor(4)])
  expect(groups.map(({ first, others }) => [first.at, others.map(({ at }) => at)])).toEqual([
    [1, [2, 4]],
    [3, []],
  ])
})
test('those that no check would catch are parted by what they do', () => {
  const groups = survivorGroups([
    survivor(1, { check: null, words: 'the lamps' }),
    survivor(2, { check: null, words: 'the lamps' }),
    survivor(3, { check: null, words: 'the digits' }),
  ])
  expect(groups.map(({ others }) => others.length)).toEqual([1, 0])
})
