import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { modelProgram, readOptionsFor } from '../../../core/exercise/index.ts'
import { gradeProgram, type Report } from '../../../core/grading/index.ts'
import { Random } from '../../../core/run/index.ts'
import { Trial } from '../../../core/trial/trial.ts'
import { exerciseOf, filesOf, folders, programOf } from '../exercise/tram-depot.ts'
import { spoiled } from '../diagnosis/spoiled.ts'

const seed = 20_261_125

describe.each(folders)('trying %s agrees with grading it', (folder) => {
  const exercise = exerciseOf(folder)
  const model = modelProgram(exercise, benchEight)
  if (model === null) throw new Error('every demo exercise has a model answer')
  // Without gates, and resting on nothing: the verdict of each check, whatever the others say.
  const eachForItself = {
    ...exercise,
    groups: exercise.groups.map((group) => ({ ...group, restsOn: [] })),
    checks: exercise.checks.map((check) => ({ ...check, gate: false, restsOn: [] })),
  }
  const trial = new Trial(exercise, benchEight, model, seed)

  /** Ids of the checks that fail on any case. */
  function failsOf(program: ReturnType<Trial['programOf']>): readonly string[] {
    const failed = new Set<string>()
    for (const stage of trial.stages) {
      const run = trial.run(stage, program.image)
      for (const check of stage.checks) if (!trial.isPassed(check, run)) failed.add(check.id)
    }
    return exercise.checks.map(({ id }) => id).filter((id) => failed.has(id))
  }
  /**
   * Trying looks at one start, grading at several where chance had a say: what fails by luck alone may pass on the one.
   * Given are those that fail for certain, and those that may.
   */
  function gradeFails({ checks }: Report): readonly [certain: string[], possible: string[]] {
    const failed = checks.filter(({ outcome }) => outcome !== 'passed')
    const certain = failed.filter(({ message }) => !message.startsWith('This passed by luck'))
    return [certain.map(({ id }) => id), failed.map(({ id }) => id)]
  }
  function expectAgreement(program: ReturnType<Trial['programOf']>): void {
    const report = gradeProgram(program, eachForItself, benchEight, { seed })
    // Grading ends a run whose stack leaves the RAM, and trying goes on.
    if (report.cases.some(({ end }) => end.kind === 'stack-fault')) return
    const fails = failsOf(program)
    const [certain, possible] = gradeFails(report)
    expect(fails).toEqual(expect.arrayContaining(certain))
    expect(possible).toEqual(expect.arrayContaining([...fails]))
  }

  // Grading records a run for each failure: three mistakes an exercise are enough for one test run.
  const answers = Object.keys(filesOf(folder)).filter((file) => /^(model|other)\./.test(file))
  const mistakes = Object.keys(filesOf(folder)).filter((file) => file.startsWith('wrong-'))
  test.each([...answers, ...mistakes.slice(0, 3)])('%s', (file) => {
    const read = readProgram(programOf(folder, file), readOptionsFor(exercise, benchEight))
    expectAgreement(trial.programOf(read.image))
  })

  test('with a byte spoiled by chance', () => {
    const random = new Random(seed)
    for (let i = 0; i < 3; i++) {
      expectAgreement(trial.programOf(spoiled(model.image, random).image))
    }
  })
})
