import { describe, expect, test } from 'vitest'
import { parse } from 'yaml'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { probe, type ProbeResult } from '../../../core/diagnosis/index.ts'
import { drawnAnew, parseExercise, readOptionsFor, runRequestFor, type Exercise } from '../../../core/exercise/index.ts'
import { imageDigest } from '../../../core/image/index.ts'
import { Random } from '../../../core/run/index.ts'
import { mutantKinds, mutantsOf, sampleOf } from '../../../core/diagnosis/probe/mutants.ts'
import { documentOf, exerciseOf, filesOf } from '../exercise/tram-depot.ts'

function probed(exercise: Exercise, most = 120, seed = 0): ProbeResult {
  const result = probe(exercise, benchEight, { most, seed, mostStrategies: 0 })
  if (result === null) throw new Error('the model answer should pass')
  return result
}

/** A small exercise with the checks given, each in one line of YAML. */
function exerciseWith(model: string, checks: readonly string[], draws = ''): Exercise {
  const text = `
format: hexcairn-exercise/1
id: small
title: Small
board: bench-8
brief: Small.
cases: [{ id: only, given: { memory: [{ at: 4600h, bytes: 05 07 }] }${draws === '' ? '' : `, ${draws}`} }]
groups: [{ id: all, title: All, marks: 100 }]
checks:
${checks.map((check, i) => `  - { id: c${i}, title: C${i}, group: all, ${check} }`).join('\n')}
model: { format: assembly, text: "${model}" }`
  const parsed = parseExercise(parse(text))
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('\n'))
  return parsed.exercise
}

const adder = ' LD HL,4600h\\n LD A,(HL)\\n INC HL\\n ADD A,(HL)\\n LD (4602h),A\\n HALT\\n'
const sum = 'kind: memory, want: [{ at: 4602h, bytes: model }]'

describe('the checks of demo exercises', () => {
  test.each(['A1', 'A2', 'A4', 'B2'])('%s catches 98 % of what is no longer right', (folder) => {
    const result = probed(exerciseOf(folder))
    expect(result.score).toBeGreaterThanOrEqual(98)
    expect(result.total.tried).toBe(120)
  })
})

describe('the figures fit together', () => {
  const result = probed(exerciseOf('A4'))
  test('tried are the same, the caught and the survivors', () => {
    for (const { tried, same, caught, survived } of [result.total, ...result.kinds]) {
      expect(tried).toBe(same + caught + survived)
    }
    const sumOf = (field: 'tried' | 'caught'): number => result.kinds.reduce((all, row) => all + row[field], 0)
    expect([sumOf('tried'), sumOf('caught')]).toEqual([result.total.tried, result.total.caught])
  })
  test('each check has a row, and none caught more than were caught', () => {
    expect(result.checks.map(({ id }) => id)).toEqual(exerciseOf('A4').checks.map(({ id }) => id))
    for (const { tried, caught, survived, alone } of result.checks) {
      expect(caught + survived).toBe(tried)
      expect(caught).toBeLessThanOrEqual(result.total.caught)
      expect(alone).toBeLessThanOrEqual(caught)
    }
  })
  test('the sample is told as one', () => {
    expect(result).toMatchObject({ isSampled: true, isStopped: false })
    expect(result.made).toBeGreaterThan(result.total.tried)
  })
})

describe('a weak exercise is found out', () => {
  const weak = exerciseWith(adder, ['kind: run-end'])
  const result = probed(weak)

  test('most mutants survive a check that only asks for the end', () => {
    expect(result.score).toBeLessThan(60)
    expect(result.survivors.length).toBe(result.total.survived)
  })
  test('a survivor is told with what was changed, and what it did', () => {
    const survivor = result.survivors.find(({ found, wouldBe }) => found.startsWith('ADD') && wouldBe !== null)
    expect(survivor?.suggestion.words).toMatch(/^On only .*4602h/)
  })
  test('every check suggested can be read, and finds the survivor it was made for', () => {
    const suggestions = result.survivors.slice(0, 12).map(({ suggestion }) => suggestion)
    expect(suggestions.length).toBeGreaterThan(0)
    for (const { check } of suggestions) {
      const fields = Object.entries(check ?? {}).map(([name, value]) => `${name}: ${JSON.stringify(value)}`)
      const mended = exerciseWith(adder, ['kind: run-end', fields.join(', ')])
      expect(probed(mended).total.survived).toBeLessThan(result.total.survived)
    }
  })
  test('with the checks that belong to the task nearly all are caught', () => {
    expect(probed(exerciseWith(adder, ['kind: run-end', `${sum}, elsewhere: unchanged`])).score).toBeGreaterThan(90)
  })
})

describe('what does the same is no mistake', () => {
  test('registers that no check looks at may hold anything', () => {
    // INC L for INC HL: nobody can tell.
    const result = probed(exerciseWith(adder, [`${sum}, elsewhere: unchanged`]), 3_000)
    expect(result.total.same).toBeGreaterThan(0)
    expect(result.survivors.filter(({ wouldBe }) => wouldBe === 'INC L')).toEqual([])
  })
  test('a register that a check names counts', () => {
    const model = ' LD C,9\\n LD A,(4600h)\\n LD (4602h),A\\n HALT\\n'
    const withoutC = (result: ProbeResult): readonly string[] =>
      result.survivors.filter(({ found }) => found.startsWith('LD C,')).map(({ found }) => found)
    const free = probed(exerciseWith(model, [`${sum}, elsewhere: unchanged`]), 3_000)
    const strict = probed(
      exerciseWith(model, [`${sum}, elsewhere: unchanged`, 'kind: registers, want: { c: 9 }']),
      3_000,
    )
    // 255 other values, and the instruction left out.
    expect(free.total.same).toBeGreaterThanOrEqual(256)
    expect(strict.total.same).toBeLessThan(free.total.same - 250)
    expect(withoutC(strict)).toEqual([])
  })
  test('a fault that only other drawn values show is a mistake, and said to be one', () => {
    const drawn = exerciseWith(adder, [`${sum}, elsewhere: unchanged`], 'draws: [{ at: 4601h, from: 0, to: 7 }]')
    // With a 0 drawn, the sum is the same without the ADD.
    const round = Array.from({ length: 64 }, (_, i) => i).find((each) => {
      const program = readProgram(drawn.model ?? { format: 'hex', text: '' }, readOptionsFor(drawn, benchEight))
      const { memory } = runRequestFor(drawnAnew(drawn, each), benchEight, program, 'only').given
      return memory.at(-1)?.bytes[0] === 0
    })
    const survivor = probed(drawnAnew(drawn, round ?? 0), 3_000).survivors.find(
      ({ found, wouldBe }) => found === 'ADD A,(HL)' && wouldBe === null,
    )
    expect(survivor?.suggestion.words).toContain('give the case more runs')
  })
})

describe('mutants', () => {
  const exercise = exerciseOf('A4')
  const options = readOptionsFor(exercise, benchEight)
  const program = readProgram(exercise.model ?? { format: 'hex', text: '' }, options)
  const mutants = mutantsOf(program, options)

  test('no image comes twice, and none is the model answer', () => {
    const digests = mutants.map(({ image }) => imageDigest(image))
    expect(new Set(digests).size).toBe(digests.length)
    expect(digests).not.toContain(imageDigest(program.image))
  })
  test('opcodes, operands, left out and exchanged instructions are all among them', () => {
    const kinds = new Set(mutants.map(({ kind }) => kind))
    expect(mutantKinds.filter((kind) => !kinds.has(kind))).toEqual(['data'])
    expect(mutants.filter(({ kind }) => kind === 'dropped').map(({ wouldBe }) => wouldBe)).toContain(null)
  })
  test('a sample has a share of each kind, and is the same for the same seed', () => {
    const drawn = (seed: number): readonly string[] =>
      sampleOf(mutants, 40, new Random(seed)).map(({ image }) => imageDigest(image))
    expect(drawn(1).length).toBe(40)
    expect(drawn(1)).toEqual(drawn(1))
    expect(drawn(1)).not.toEqual(drawn(2))
    const sample = sampleOf(mutants, 40, new Random(1))
    for (const kind of ['opcode', 'operand', 'dropped', 'order']) {
      expect(sample.filter((mutant) => mutant.kind === kind).length).toBeGreaterThan(4)
    }
  })
})

test('the same seed gives the same result, byte for byte', () => {
  const once = JSON.stringify(probed(exerciseOf('A2'), 60, 5))
  expect(JSON.stringify(probed(exerciseOf('A2'), 60, 5))).toBe(once)
})

test('progress is told, and saying no ends it with what is known', () => {
  const seen: number[] = []
  const result = probe(exerciseOf('A2'), benchEight, {
    ...{ most: 50, mostStrategies: 0 },
    onProgress: ({ done, total }) => {
      seen.push(done)
      expect(total).toBeGreaterThanOrEqual(50)
      return done < 10
    },
  })
  expect(seen.at(-1)).toBe(10)
  expect(result).toMatchObject({ isStopped: true, total: { tried: 10 } })
})

test('broken off, it keeps the survivors that it has found, and tells of them as it goes', () => {
  const told: number[] = []
  const result = probe(exerciseWith(adder, ['kind: run-end']), benchEight, {
    most: 100,
    onProgress: ({ survived, survivors }) => {
      told.push(survivors.length)
      expect(survivors.length).toBe(survived)
      return survivors.length < 3
    },
  })
  expect(told.at(-1)).toBe(3)
  expect(result?.isStopped).toBe(true)
  expect(result?.survivors.map(({ suggestion }) => suggestion.words).length).toBe(3)
})

describe('what a probe spares itself changes no fate', () => {
  test.each([
    ['A5', 60],
    ['B4', 60],
    ['C1', 40],
    ['C4', 30],
    ['C5', 40],
    ['D4', 30],
  ] as const)('%s', (folder, most) => {
    const spared = probe(exerciseOf(folder), benchEight, { most, seed: 7, mostStrategies: 0 })
    const thorough = probe(exerciseOf(folder), benchEight, { most, seed: 7, mostStrategies: 0, isThorough: true })
    const fatesIn = (result: ProbeResult | null) => ({
      ...{ total: result?.total, score: result?.score, kinds: result?.kinds, survivors: result?.survivors },
    })
    expect(fatesIn(spared)).toEqual(fatesIn(thorough))
    expect(spared?.total.tried).toBe(most)
  })
})

test('without a model answer that passes there is nothing to change', () => {
  const document = { ...documentOf('A2'), model: { format: 'hex', text: '76' } }
  const parsed = parseExercise(document, filesOf('A2'))
  if (!parsed.isOk) throw new Error('the document is good')
  expect(probe(parsed.exercise, benchEight)).toBe(null)
})
