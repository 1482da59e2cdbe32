import type { SourceInstruction } from '../../../edits/index.ts'
import type { Ground } from './ground.ts'
import { enoughKeys } from './key-inputs.ts'
import { textOf } from './model-text.ts'
import type { Strategy } from './strategy.ts'

/** Loops that go round more often wait for something. */
const mostRounds = 250

/** Programs that are right for as many keys, or as many rounds of a loop, as the cases need, and then stop. */
export function firstInputs(ground: Ground): readonly Strategy[] {
  return [...firstKeys(ground), ...firstRounds(ground)]
}

/** Waits for ever where it would come to work on a key once more. */
function firstKeys({ facts: { text, onceForEachKey, recorded } }: Ground): readonly Strategy[] {
  const keys = Math.max(0, ...recorded.map(({ presses }) => presses))
  const [at] = onceForEachKey
  if (at === undefined || keys >= enoughKeys) return []
  const [stuck, counter] = [text.label(), text.label()]
  const before = [...counted(counter, keys, stuck), 'POP AF']
  const image = text.with([{ at, before }], [`${stuck}: JP ${stuck}`, `${counter}: DB 0`])
  const words = `A program that takes no notice of any key after the first ${keys}`
  return image === null ? [] : [strategyOf(words, null, image, ['keys'])]
}

/** Goes on behind a loop, or ends where nothing leads there, when it has gone round as often as in the cases. */
function firstRounds({ exercise, facts: { text, mostVisits } }: Ground): readonly Strategy[] {
  const end = exercise.program.ends === 'return' ? 'RET' : 'HALT'
  return text.instructions.flatMap((at): Strategy[] => {
    const rounds = mostVisits(at)
    if (!leadsBack(at, text.instructions) || rounds < 1 || rounds > mostRounds) return []
    const [out, on, counter] = [text.label(), text.label(), text.label()]
    const isAlways = at.mnemonic !== 'DJNZ' && at.operands.length === 1
    const behind = isAlways ? [`${out}: POP AF`, end] : [`JP ${on}`, `${out}: POP AF`, `${on}:`]
    const instead = [...counted(counter, rounds, out), 'POP AF', textOf(at), ...behind]
    const image = text.with([{ at, instead }], [`${counter}: DB 0`])
    const words = 'A program with a loop that goes round no more often than your cases need'
    return image === null
      ? []
      : [strategyOf(words, `${rounds} times at “${textOf(at)}”`, image, ['values', 'keys', 'calls'])]
  })
}

/** Leaves AF on the stack, and goes `out` from the call after so many on. */
function counted(counter: string, most: number, out: string): readonly string[] {
  return ['PUSH AF', `LD A,(${counter})`, `CP ${most}`, `JP NC,${out}`, 'INC A', `LD (${counter}),A`]
}

/** A jump to a label that stands before it. */
function leadsBack({ mnemonic, operands, address }: SourceInstruction, all: readonly SourceInstruction[]): boolean {
  if (!['DJNZ', 'JR', 'JP'].includes(mnemonic)) return false
  const target = operands.at(-1)?.toUpperCase()
  const found = all.find(({ label }) => label?.toUpperCase() === target)
  return found !== undefined && found.address <= address
}

function strategyOf(
  words: string,
  detail: string | null,
  image: Strategy['image'],
  subjects: Strategy['subjects'],
): Strategy {
  return { kind: 'first-inputs', words, detail, image, isWhole: false, subjects }
}
