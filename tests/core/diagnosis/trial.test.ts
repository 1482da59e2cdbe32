import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { modelProgram, readOptionsFor } from '../../../core/exercise/index.ts'
import { gradeProgram } from '../../../core/grading/index.ts'
import { Random } from '../../../core/run/index.ts'
import { Trial } from '../../../core/diagnosis/trial/trial.ts'
import { exerciseOf, filesOf, folders, programOf } from '../exercise/tram-depot.ts'
import { spoiled } from './spoiled.ts'

const seed = 20_261_125

describe.each(folders)('trying %s agrees with grading it', (folder) => {
  const exercise = exerciseOf(folder)
  const model = modelProgram(exercise, benchEight)
  if (model === null) throw new Error('every demo exercise has a model answer')
  // Without gates: the verdict of each check, whatever the others say.
  const eachForItself = {
    ...exercise,
    groups: exercise.groups.map((group) => ({ ...group, needs: [] })),
    checks: exercise.checks.map((check) => ({ ...check, gate: false })),
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
  const gradeFails = (program: ReturnType<Trial['programOf']>): readonly string[] =>
    gradeProgram(program, eachForItself, benchEight, { seed })
      .checks.filter(({ outcome }) => outcome !== 'passed')
      .map(({ id }) => id)

  // Grading records a run for each failure: three mistakes an exercise are enough for one test run.
  const answers = Object.keys(filesOf(folder)).filter((file) => /^(model|other)\./.test(file))
  const mistakes = Object.keys(filesOf(folder)).filter((file) => file.startsWith('wrong-'))
  test.each([...answers, ...mistakes.slice(0, 3)])('%s', (file) => {
    const read = readProgram(programOf(folder, file), readOptionsFor(exercise, benchEight))
    const program = trial.programOf(read.image)
    expect(failsOf(program)).toEqual(gradeFails(program))
  })

  test('with a byte spoiled by chance', () => {
    const random = new Random(seed)
    for (let i = 0; i < 2; i++) {
      const program = trial.programOf(spoiled(model.image, random).image)
      expect({ i, fails: failsOf(program) }).toEqual({ i, fails: gradeFails(program) })
    }
  })
})
