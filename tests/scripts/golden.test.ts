import { describe, expect, test } from 'vitest'
import { engineVersion } from '../../core/grading/index.ts'
import { folders } from '../core/exercise/tram-depot.ts'
import { changedVerdicts, goldenNow, readGolden, refusal, type Golden } from '../../scripts/write-golden.ts'

/** D6 alone takes several seconds of processor time; a machine with other work needs many times that. */
const longMs = 240_000

describe('the reports of the demo course are those written down for this version of the engine (npm run golden)', () => {
  const written = readGolden()

  test.each(folders)(
    '%s',
    (folder) => {
      if (written === null) throw new Error('tests/fixtures/golden/reports.json is missing: run npm run golden')
      const now = goldenNow([folder])
      expect(refusal(written, now)).toBeNull()
      // What changed with its exercise, its program, the board or the version has only to be written down again.
      const { engineVersion: version, board, exercises } = written
      const before = JSON.stringify({ engineVersion: version, board, exercises: { [folder]: exercises[folder] } })
      expect(before === JSON.stringify(now) ? '' : `${folder}: run npm run golden and commit reports.json`).toBe('')
    },
    longMs,
  )

  test('have no exercise that the course has not', () => {
    expect(Object.keys(written?.exercises ?? {})).toEqual(folders)
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
