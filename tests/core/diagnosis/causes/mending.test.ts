import { describe, expect, test } from 'vitest'
import { readProgram, type Program } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import { drawnAnew, readOptionsFor } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import { Mending } from '../../../../core/diagnosis/causes/mending.ts'
import { diagnose, nearestPassing } from '../../../../core/diagnosis/index.ts'
import { startIn } from '../../../../core/grading/index.ts'
import { invented, programText } from '../../grading/chance-programs.ts'

const wantsA = invented([{ kind: 'registers', want: { a: '0Bh' } }])
const read = (text: string): Program =>
  readProgram({ format: 'assembly', text: programText(text) }, readOptionsFor(wantsA, benchEight))
const lucky = read('BIT 7,B | LD A,0BH | JR NZ,DONE | INC A | DONE: HALT')
/** With other values in what nothing sets. */
const again = [0, 1, 2, 3, 4, 5, 6, 7].map((round) => drawnAnew(wantsA, round))

test('an edit that is right by luck mends nothing', () => {
  const wrong = read('LD A,5 | HALT')
  for (const each of again) {
    const mending = new Mending(wrong, each, benchEight, gradeProgram(wrong, each, benchEight), 0)
    expect(mending.try(lucky.image)).toBeNull()
    expect(mending.try(read('LD A,0BH | HALT').image)).toMatchObject({ isFull: true })
  }
})

describe('a hand-in that passed by luck', () => {
  const reports = again.map((of) => ({ of, report: gradeProgram(lucky, of, benchEight) }))
  const fallen = reports.filter(({ report }) => report.checks[0]?.message.startsWith('This passed by luck') === true)

  test('is tried on the start on which it failed', () => {
    expect(fallen.length).toBeGreaterThan(1)
    for (const { of, report } of fallen) {
      const mending = new Mending(lucky, of, benchEight, report, 0)
      expect(mending.isFailing('c0')).toBe(true)
    }
  })

  test('is mended by an edit that is right with any values', () => {
    const [first] = fallen
    if (first === undefined) throw new Error('none was lucky')
    const { of, report } = first
    const found = nearestPassing(lucky, of, benchEight, { startIn: (id) => startIn(report, id) })
    if (found.outcome !== 'found') throw new Error(found.outcome)
    const mended = { ...lucky, image: found.repair.image }
    for (const each of again) expect(gradeProgram(mended, each, benchEight).isFullMarks).toBe(true)
    expect(diagnose(lucky, of, benchEight, report).repair).not.toBeNull()
  })
})
