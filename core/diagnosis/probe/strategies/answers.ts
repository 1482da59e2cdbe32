import { readProgram } from '../../../assembler/index.ts'
import { makeImage, type Image } from '../../../image/index.ts'
import type { Stage } from '../../../trial/index.ts'
import { linesFor, resultOf, type CaseResult } from './case-result.ts'
import { onePerCase, type Ground } from './ground.ts'
import { inputPlaces, valueOf, type InputPlace } from './inputs.ts'
import { lookUpLines } from './look-up.ts'
import type { Strategy } from './strategy.ts'

/**
 * Programs that solve nothing: that do nothing, leave what one case wants whatever they are given, pick it from what the
 * cases that a student sees want, or come with it in their bytes.
 */
export function answers(ground: Ground): readonly Strategy[] {
  const { exercise, facts, options } = ground
  const end = exercise.program.ends === 'return' ? ' RET' : ' HALT'
  let labels = 0
  const label = (): string => `Q${(labels += 1)}X`
  const assembled = (lines: readonly string[]): Image | null => {
    const text = [` ORG ${facts.program.entry}`, ...lines, ''].join('\n')
    const program = readProgram({ format: 'assembly', text }, options)
    return program.isOk ? program.image : null
  }
  const places = inputPlaces(ground.stages, facts)
  const cases = onePerCase(ground).map((stage) => ({ stage, result: resultOf(ground, stage) }))
  const nothing = assembled([end])
  const found: Strategy[] = []
  const add = (
    kind: Strategy['kind'],
    words: string,
    detail: string | null,
    image: Image | null,
    isWhole = true,
  ): void => {
    if (image !== null) found.push({ kind, words, detail, image, isWhole, subjects: ['values', 'switches'] })
  }
  add('nothing', 'A program that does nothing', null, nothing)
  for (const { stage, result } of cases) {
    const detail = `the case “${stage.instance.title}”`
    if (result !== null) {
      const { lines, data } = linesFor(result, label)
      add(
        'constant',
        'A program that looks at no input and leaves one case’s result',
        detail,
        assembled([...lines, end, ...data]),
      )
      const loads = linesFor({ ...result, memory: [] }, label).lines
      const bytes = stored(result, assembled([...loads, end]))
      add('stored', 'A program that does nothing, handed in with the result in its bytes', detail, bytes)
    }
    const withValues = workingWith(ground, stage, places)
    add('constant', 'A program that works with one case’s values whatever it is given', detail, withValues, false)
  }
  const seen = cases.flatMap(({ stage, result }) => {
    const { isVisible, of } = stage.instance
    return isVisible && of.draws.length === 0 && result !== null ? [{ stage, result }] : []
  })
  const lookUp = lookUpLines(seen, places, label, end)
  if (lookUp !== null) {
    add('look-up', 'A program that looks up the results of the cases that students see', null, assembled(lookUp))
  }
  return found
}

/** The result as bytes of the program. */
function stored({ memory }: CaseResult, nothing: Image | null): Image | null {
  if (nothing === null || memory.length === 0) return null
  return makeImage([
    ...nothing.segments,
    ...memory.map(({ at, bytes }) => ({ start: at, bytes: Uint8Array.from(bytes) })),
  ])
}

/** The model answer that puts the values of one case where its inputs are, and then begins. */
function workingWith(
  { facts: { text, program }, profile }: Ground,
  stage: Stage,
  places: readonly InputPlace[],
): Image | null {
  const first = text.at(program.entry)
  if (first === undefined) return null
  const memory = places.filter(({ register }) => register === null)
  const registers = places.filter(({ register }) => register !== null)
  const stores = memory.flatMap((place) => {
    const value = valueOf(stage, place)
    return Array.from({ length: place.width }, (_, i) => [
      `LD A,${(value >> (8 * i)) & 0xff}`,
      `LD (${place.at + i}),A`,
    ]).flat()
  })
  const loads = registers.map(({ register, at, width }) => {
    return `LD ${(register ?? '').toUpperCase()},${valueOf(stage, { register, at, width })}`
  })
  const switches = text.instructions.filter(
    ({ mnemonic, operands }) => mnemonic === 'IN' && portOf(operands[1]) === profile.switches?.port,
  )
  if (stores.length + loads.length + switches.length === 0) return null
  return text.with([
    { at: first, ahead: [...stores, ...loads] },
    ...switches
      .filter((each) => each !== first)
      .map((at) => ({ at, instead: [`LD ${at.operands[0] ?? 'A'},${stage.request.given.switches}`] })),
  ])
}

/** The port in an operand like `(22h)`. */
export function portOf(operand: string | undefined): number | null {
  const inside = /^\(\s*(\w+)\s*\)$/.exec(operand ?? '')?.[1]?.toUpperCase() ?? ''
  if (/^[0-9][0-9A-F]*H$/.test(inside)) return Number.parseInt(inside, 16)
  if (/^0X[0-9A-F]+$/.test(inside)) return Number.parseInt(inside.slice(2), 16)
  return /^[0-9]+$/.test(inside) ? Number(inside) : null
}
