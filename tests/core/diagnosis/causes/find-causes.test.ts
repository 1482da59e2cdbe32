import { describe, expect, test } from 'vitest'
import { readProgram, type Program } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import { diagnose, type Cause, type Diagnosis } from '../../../../core/diagnosis/index.ts'
import { modelProgram, readOptionsFor, type Exercise } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import { exerciseOf, filesOf, mistakesOf, programOf } from '../../exercise/tram-depot.ts'
import { findFor, sharesOf } from './shares.ts'
import { slipsOf } from './slips.ts'

// Runs of these take microseconds; tests/benchmarks/causes.ts looks at all twenty-four.
const quick = ['A1', 'A2', 'A6', 'B2', 'C3']
const long = { timeout: 300_000 }

function read(folder: string, file: string): { readonly program: Program; readonly exercise: Exercise } {
  const exercise = exerciseOf(folder)
  return { exercise, program: readProgram(programOf(folder, file), readOptionsFor(exercise, benchEight)) }
}

function diagnosisOf(
  folder: string,
  file: string,
  change: (exercise: Exercise) => Exercise = (same) => same,
): Diagnosis {
  const { program, exercise } = read(folder, file)
  const changed = change(exercise)
  return diagnose(program, changed, benchEight, gradeProgram(program, changed, benchEight))
}

function firstOf(folder: string, file: string): Cause {
  const [first] = diagnosisOf(folder, file).causes
  if (first === undefined) throw new Error(`${folder} ${file}: no cause was found`)
  return first
}

describe('the cause of a mistake', () => {
  test('is named first for four of five seeded mistakes, and among three for nineteen of twenty', long, () => {
    const found = quick.flatMap((folder) =>
      mistakesOf(folder).map(({ file, causeId }) => {
        const { program, exercise } = read(folder, file)
        return findFor(program, exercise, causeId)
      }),
    )
    expect(found.length).toBeGreaterThan(25)
    const { first, three } = sharesOf(found)
    expect(first).toBeGreaterThanOrEqual(0.8)
    expect(three).toBeGreaterThanOrEqual(0.95)
  })
  test('is named for slips that rules make in the model answers, which no detector was made for', long, () => {
    const found = ['A6'].flatMap((folder) => {
      const exercise = exerciseOf(folder)
      return slipsOf(exercise, 20_261_125).map(({ program, causeId }) => findFor(program, exercise, causeId))
    })
    expect(found.length).toBeGreaterThan(8)
    const { first, three } = sharesOf(found)
    expect(first).toBeGreaterThanOrEqual(0.8)
    expect(three).toBeGreaterThanOrEqual(0.95)
  })
  test('is none for a right answer', long, () => {
    for (const folder of quick) {
      const exercise = exerciseOf(folder)
      const others = Object.keys(filesOf(folder)).filter((file) => file.startsWith('other.'))
      const answers = [modelProgram(exercise, benchEight), ...others.map((file) => read(folder, file).program)]
      for (const program of answers) {
        if (program === null) continue
        const diagnosis = diagnose(program, exercise, benchEight, gradeProgram(program, exercise, benchEight))
        expect(diagnosis).toEqual({ causes: [], repair: null, counterexample: null })
      }
    }
  })
})

test('reading a port blames no register for the address lines that no port looks at', () => {
  const exercise = exerciseOf('A6')
  const sum = 'LD HL,(4600h)\nLD DE,(4602h)\nSCF\nADC HL,DE\nLD (4604h),HL\nHALT'
  const causesOf = (first: string) => {
    const program = readProgram({ format: 'assembly', text: `${first}\n${sum}` }, readOptionsFor(exercise, benchEight))
    const { causes } = diagnose(program, exercise, benchEight, gradeProgram(program, exercise, benchEight))
    return causes.map(({ id }) => id)
  }
  for (const first of ['IN A,(25h)', 'LD C,25h\nIN A,(C)', 'LD C,24h\nXOR A\nOUT (C),A'])
    expect(causesOf(first)).not.toContain('not-initialised')
  expect(causesOf('LD (4606h),A')).toContain('not-initialised')
})

describe('a cause says where it shows, what was found and what it should have been', () => {
  test('in assembly with the line of the text', () => {
    // A4: XOR A where LD A,0 keeps the carry.
    expect(firstOf('A4', 'wrong-xor-clears-carry.asm')).toMatchObject({
      id: 'flag-clobbered',
      caseId: 'ff-01',
      address: 0x4009,
      line: 8,
      checkIds: ['sum', 'any-fares'],
      isVisible: true,
    })
  })
  test('at the step of the run at which it was seen', () => {
    const { id, step, address, message } = firstOf('B1', 'wrong-zero-cars.asm')
    expect({ id, address }).toEqual({ id: 'count-zero', address: 0x400e })
    expect(step).toBeGreaterThan(0)
    expect(message).toMatch(/B = 0.*256 rounds/)
  })
  test('for bytes with the sheet’s line alone, since the byte itself gives the answer away', () => {
    const { id, found, wanted, message } = firstOf('A1', 'wrong-6-read-as-b.hex')
    expect(id).toBe('mistyped-digit')
    expect(found).toContain('between 4000h and 4007h')
    expect(`${wanted} ${message}`).not.toMatch(/06|0B/)
  })
  test('with falling certainty, and each of them once', () => {
    const { causes } = diagnosisOf('A2', 'wrong-one-too-far.asm')
    const certainties = causes.map(({ certainty }) => certainty)
    expect(certainties).toEqual(certainties.toSorted((a, b) => b - a))
    expect(new Set(causes.map(({ id }) => id)).size).toBe(causes.length)
  })
})

describe('a diagnosis', () => {
  test('is the same every time, and plain JSON', () => {
    const once = diagnosisOf('A6', 'wrong-carry-lost.asm')
    expect(diagnosisOf('A6', 'wrong-carry-lost.asm')).toEqual(once)
    expect(JSON.parse(JSON.stringify(once))).toEqual(once)
  })
  test('does not depend on what the exercise is called', () => {
    const renamed = (exercise: Exercise): Exercise => ({
      ...exercise,
      id: 'X9',
      title: 'Something else',
      brief: 'None.',
    })
    for (const [folder, file] of [
      ['A4', 'wrong-sign-for-carry.asm'],
      ['C6', 'wrong-d-not-cleared.asm'],
    ] as const) {
      expect(diagnosisOf(folder, file, renamed).causes[0]?.id).toBe(diagnosisOf(folder, file).causes[0]?.id)
    }
  })
  test('holds the smallest drawn input that goes wrong, with what was found and wanted', () => {
    const { counterexample } = diagnosisOf('A4', 'wrong-xor-clears-carry.asm')
    // The smallest pair with a carry.
    expect(counterexample).toMatchObject({
      caseId: 'drawn',
      check: { id: 'any-fares', measured: '4602h: 00 00', wanted: '4602h: 00 01' },
    })
    expect(counterexample?.inputs.join()).toMatch(/^4600h: /)
  })
  test('of a program that cannot be read is empty', () => {
    const exercise = exerciseOf('A4')
    const program = readProgram({ format: 'assembly', text: ' LD A,\n' }, readOptionsFor(exercise, benchEight))
    const report = gradeProgram(program, exercise, benchEight)
    expect(diagnose(program, exercise, benchEight, report)).toEqual({ causes: [], repair: null, counterexample: null })
  })
  test('tells how far it has come, and ends with what it has when told to', () => {
    const { program, exercise } = read('A4', 'wrong-xor-clears-carry.asm')
    const report = gradeProgram(program, exercise, benchEight)
    const parts: number[] = []
    diagnose(program, exercise, benchEight, report, { onProgress: (part) => void parts.push(part) })
    expect(parts[0]).toBe(0)
    expect(parts.at(-1)).toBe(1)
    expect(parts.filter((part, i) => part < (parts[i - 1] ?? 0))).toEqual([])
    const nothing = { causes: [], repair: null, counterexample: null }
    expect(diagnose(program, exercise, benchEight, report, { onProgress: () => false })).toEqual(nothing)
    const stopped = diagnose(program, exercise, benchEight, report, { onProgress: (part) => part < 0.4 })
    expect({ ...stopped, causes: [] }).toEqual(nothing)
    expect(stopped.causes[0]?.id).toBe('flag-clobbered')
  })
  test('on hidden cases alone is not shown to a student', () => {
    const { causes } = diagnosisOf('A4', 'wrong-sheet-only.asm')
    expect(causes[0]?.id).toBe('fits-sheet-only')
    for (const cause of causes.filter(({ checkIds }) => checkIds.includes('any-fares'))) {
      expect(cause.isVisible).toBe(cause.checkIds.some((id) => id !== 'any-fares') && cause.caseId !== 'drawn-1')
    }
  })
})
