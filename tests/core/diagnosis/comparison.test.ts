import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { compareRuns, type ComparedRun, type CompareOptions, type Comparison } from '../../../core/diagnosis/index.ts'
import { record, type RunRequest } from '../../../core/run/index.ts'
import { filesOf, folders, mistakesOf } from '../exercise/tram-depot.ts'
import { compared, openingOf } from './compared.ts'

function ran(source: string): ComparedRun {
  const symbols = Object.fromEntries(benchEight.firmware.routines.map(({ name, address }) => [name, address]))
  const program = readProgram({ format: 'assembly', text: source }, { origin: 0x4000, symbols })
  expect(program.problems).toEqual([])
  const request: RunRequest = {
    profile: benchEight,
    image: program.image,
    entry: 0x4000,
    ends: 'halt',
    given: { registers: {}, memory: [], keys: [], switches: 0, fill: { byte: 0 }, isTimerOn: false },
    budget: 8_000_000,
  }
  return { recording: record(request), request }
}

function compare(wanted: string, found: string, options: CompareOptions = {}): Comparison {
  return compareRuns(ran(wanted), ran(found), benchEight, options)
}

/** A tone: `half` is the count of its delay loop, `edges` how often the cone moves. */
const tone = (half: number, edges: number): string =>
  ` XOR A\n LD DE,${edges}\nBELL: XOR 1\n OUT (22h),A\n LD B,${half}\nWAIT: DJNZ WAIT\n LD C,A\n DEC DE\n LD A,D\n OR E\n LD A,C\n JR NZ,BELL\n HALT`
const result = { memory: [{ from: 0x4600, to: 0x4601 }] }

describe('two runs compared by what can be noticed', () => {
  test('a run has no difference to itself, and all its events agree', () => {
    const { difference, locked } = compare(tone(92, 500), tone(92, 500))
    expect(difference).toBeNull()
    expect(locked.map(({ wanted }) => wanted.text)).toEqual(['1000 Hz for 249.5 ms', 'HALT at 4013h'])
  })
  test('other instructions with the same result: no difference', () => {
    const { difference, locked } = compare(
      ' LD A,5\n ADD A,A\n LD (4600h),A\n HALT',
      ' LD HL,4600h\n LD (HL),10\n HALT',
      result,
    )
    expect(difference).toBeNull()
    expect(locked[0]?.wanted.text).toBe('4600h = 0Ah')
  })
  test('another byte in marked memory: the write is the place, in both runs', () => {
    const { difference } = compare(' NOP\n LD A,5\n LD (4600h),A\n HALT', ' LD A,6\n LD (4600h),A\n HALT', result)
    expect(difference).toMatchObject({ kind: 'other', at: { wanted: { step: 2 }, found: { step: 1 } } })
    expect(difference?.sentence).toMatch(/^Found: 4600h = 06h at \d+ T; wanted: 4600h = 05h at \d+ T\.$/)
  })
  test('memory that is not marked does not count', () => {
    expect(compare(' LD A,5\n LD (4700h),A\n HALT', ' LD A,6\n LD (4700h),A\n HALT', result).difference).toBeNull()
  })
  test('a byte never written is missing', () => {
    const { difference } = compare(' LD A,5\n LD (4601h),A\n HALT', ' NOP\n HALT', result)
    expect(difference).toMatchObject({ kind: 'missing', found: null })
  })
  test('a tone within the tolerance is the same, one beyond is not', () => {
    expect(compare(tone(92, 500), tone(93, 500)).difference).toBeNull()
    expect(compare(tone(92, 500), tone(95, 500)).difference).toMatchObject({
      kind: 'other',
      found: { event: { kind: 'note' } },
    })
  })
  test('the limit of the tolerance: 93 for 92 is 1.03 % lower', () => {
    expect(compare(tone(92, 500), tone(93, 500), { frequency: 0.0104 }).difference).toBeNull()
    expect(compare(tone(92, 500), tone(93, 500), { frequency: 0.0102 }).difference).not.toBeNull()
  })
  test('another end', () => {
    const { difference } = compare(' HALT', ' JR $')
    expect(difference).toMatchObject({ kind: 'other', wanted: { event: { kind: 'end', end: 'halted' } } })
  })
  test('a digit that shows something else', () => {
    const shown = (segments: string): string =>
      ` LD HL,4700h\n LD B,8\nFILL: LD (HL),${segments}\n INC HL\n DJNZ FILL\n LD D,50\nSHOW: CALL PAINT\n DEC D\n JR NZ,SHOW\n HALT`
    expect(compare(shown('3Fh'), shown('3Fh')).difference).toBeNull()
    const { difference } = compare(shown('3Fh'), shown('06h'))
    expect(difference?.sentence).toMatch(/^Found: digit 1 shows 1 at .*; wanted: digit 1 shows 0 at /)
    expect(compare(shown('3Fh'), shown('06h'), { digits: [] }).difference).toBeNull()
  })
})

describe('the demo course', () => {
  test.each(folders)('%s: the second answer, another algorithm, shows no difference', { timeout: 60_000 }, (folder) => {
    const other = Object.keys(filesOf(folder)).find((name) => name.startsWith('other.')) ?? ''
    const different = compared(folder, other).find(({ comparison }) => comparison.difference !== null)
    expect(different?.comparison.difference?.sentence).toBeUndefined()
  })
  test.each([
    ['A4', 'wrong-no-carry.asm', /4603h/],
    ['B1', 'wrong-zero-cars.asm', /472[01]h/],
    ['B3', 'wrong-pause.asm', /digit/],
    ['C1', 'wrong-port.asm', /Wanted: 1000 Hz|wanted: 1000 Hz/],
    ['C6', 'wrong-seven-rounds.asm', /HL = /],
  ])('%s %s: the first wrong event is named', { timeout: 60_000 }, (folder, file, expected) => {
    expect(compared(folder, file).at(-1)?.comparison.difference?.sentence).toMatch(expected)
  })
})

describe('where the trace of a hand-in opens', () => {
  test.each(['A2', 'A5', 'B1', 'B6', 'C2', 'D1', 'D3'])(
    'of each seeded mistake of %s at the first event that the model answer has otherwise',
    (folder) => {
      for (const { file } of mistakesOf(folder)) {
        const { place, report } = openingOf(folder, file)
        const [different] = compared(folder, file).filter(({ comparison }) => comparison.difference !== null)
        const { firstWrong } = report
        if (different === undefined || firstWrong === null) {
          expect(place?.step, file).toBe(firstWrong?.step)
        } else if (different.caseId === firstWrong.caseId) {
          expect(place, file).toMatchObject({ caseId: firstWrong.caseId, ...different.comparison.difference?.at.found })
        } else {
          expect(place?.caseId, file).toBe(firstWrong.caseId)
        }
      }
    },
  )
  test('of a missing glyph where it should have been written, long before the display is looked at', () => {
    const { place, report } = openingOf('A3', 'wrong-one-too-few.asm')
    expect(place?.difference?.sentence).toMatch(/^Wanted: 4707h = 07h at 189 T; it never came\.$/)
    expect(place?.t).toBeLessThan(250)
    expect(place?.step).toBeLessThan((report.firstWrong?.step ?? 0) - 1_000)
  })
  test('nowhere for a correct answer', () => {
    expect(openingOf('A2', 'other.asm').place).toBeNull()
  })
})
