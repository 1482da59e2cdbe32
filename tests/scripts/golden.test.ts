import { describe, expect, test } from 'vitest'
import { engineVersion } from '../../core/grading/index.ts'
import { changedVerdicts, goldenNow, readGolden, refusal, type Golden } from '../../scripts/write-golden.ts'

describe('the reports of the demo course', () => {
  test('are those that were written down for this version of the engine (npm run golden)', () => {
    const written = readGolden()
    if (written === null) throw new Error('tests/fixtures/golden/reports.json is missing: run npm run golden')
    const now = goldenNow()
    expect(refusal(written, now)).toBeNull()
    // What changed with its exercise, its program, the board or the version has only to be written down again.
    const isUpToDate = JSON.stringify(now) === JSON.stringify(written)
    expect(isUpToDate ? '' : 'reports.json is not up to date: run npm run golden and commit it').toBe('')
  })
})

describe('a changed report', () => {
  const golden = (report: string, about: Partial<Golden> = {}, exercise = 'e1', program = 'p1'): Golden => ({
    engineVersion,
    board: 'b1',
    exercises: {
      A1: { exercise, reports: { 'model.asm': { program, report }, 'other.asm': { program, report: 'r' } } },
    },
    ...about,
  })

  test('is refused by name while the version is the same, and taken once it is raised', () => {
    expect(changedVerdicts(golden('r1'), golden('r2'))).toEqual(['A1/model.asm'])
    expect(refusal(golden('r1'), golden('r2'))).toMatch(/^A1\/model\.asm: .*Raise engineVersion/)
    expect(refusal(golden('r1', { engineVersion: 'hexcairn-engine/0' }), golden('r2'))).toBeNull()
    expect(refusal(golden('r1'), golden('r1'))).toBeNull()
  })

  test.each([
    ['exercise', golden('r2', {}, 'e2')],
    ['program', golden('r2', {}, 'e1', 'p2')],
    ['board', golden('r2', { board: 'b2' })],
  ])('is taken with another %s', (_, now) => {
    expect(refusal(golden('r1'), now)).toBeNull()
  })
})
