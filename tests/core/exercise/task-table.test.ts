import { describe, expect, test } from 'vitest'
import { sentencesOf, taskTable } from './task-table.ts'
import { exerciseOf, folders } from './tram-depot.ts'

test('a brief falls into its sentences, without what is set apart', () => {
  const brief = 'Do this.\nThen that,\nand stop.\n\n    4000: 3E 05\n\nA is 0Bh (see there). 7 is more: All of it.\n'
  expect(sentencesOf(brief)).toEqual([
    'Do this.',
    'Then that, and stop.',
    'A is 0Bh (see there).',
    '7 is more:',
    'All of it.',
  ])
})

describe.each(folders)('%s', (folder) => {
  const { brief, checks } = exerciseOf(folder)
  const table = taskTable(folder)

  test('every sentence of the task stands in the table, in the same words and order', () => {
    expect(table.map(({ sentence }) => sentence)).toEqual(sentencesOf(brief))
  })
  test('every check has a sentence, and every sentence names checks that there are', () => {
    expect([...new Set(table.flatMap((each) => each.checks))].sort()).toEqual(checks.map(({ id }) => id).sort())
  })
})
