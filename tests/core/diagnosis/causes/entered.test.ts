import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import { diagnose } from '../../../../core/diagnosis/index.ts'
import { Draft } from '../../../../core/diagnosis/causes/draft.ts'
import { enteredBy } from '../../../../core/diagnosis/causes/entered.ts'
import { modelProgram, readOptionsFor } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import { exerciseOf } from '../../exercise/tram-depot.ts'

function draftOf(text: string): Draft {
  const options = { origin: 0x4000 }
  return new Draft(readProgram({ format: 'assembly', text }, options), options)
}

describe('what a program enters', () => {
  test('is where its calls, jumps and restarts go, and words loaded to be jumped to', () => {
    const draft = draftOf(' ORG 4000H\n CALL 0050H\nS: RST 38H\n JP 0048H\n DJNZ S\n LD HL,0060H\n JP (HL)')
    expect([...enteredBy(draft, draft.lines)].toSorted((a, b) => a - b)).toEqual([0x38, 0x48, 0x50, 0x60, 0x4003])
  })
  test('is no number that only reads like an address', () => {
    const draft = draftOf(' ORG 4000H\n LD BC,48076\n LD A,80H\n LD (4720H),DE')
    expect(enteredBy(draft, draft.lines)).not.toContain(80)
    expect(enteredBy(draft, draft.lines)).not.toContain(72)
  })
})

describe('a routine that the model answer does without', () => {
  test.for([
    { folder: 'A3', without: 0, routine: 'GLYPH' },
    { folder: 'B1', without: 12, routine: 'GETKEY' },
    { folder: 'B4', without: 2, routine: 'WAITMS' },
  ])('is not said to be missing: $folder', { timeout: 60_000 }, ({ folder, without, routine }) => {
    const exercise = exerciseOf(folder)
    const model = modelProgram(exercise, benchEight)
    if (model === null) throw new Error(`${folder} has no model answer`)
    const draft = new Draft(model, readOptionsFor(exercise, benchEight))
    const text = draft.textAfter({ instead: { [without]: '' } }) ?? ''
    const program = readProgram({ format: 'assembly', text }, readOptionsFor(exercise, benchEight))
    const report = gradeProgram(program, exercise, benchEight)
    expect(report.isFullMarks).toBe(false)
    const told = diagnose(program, exercise, benchEight, report).causes.map(({ found }) => found)
    expect(told).not.toContain(`${routine} is never called`)
  })
})
