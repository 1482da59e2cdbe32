import type { SourceInstruction } from '../../../edits/index.ts'
import type { Ground } from './ground.ts'
import { keyCodes } from './key-strategies.ts'
import { routineOf } from './model-facts.ts'
import { textOf, type Insertion } from './model-text.ts'
import type { Strategy } from './strategy.ts'

/** How often is done what should be done once: an eye and an ear may miss the second time, hardly the hundredth. */
const often = [
  { times: 2, words: 'twice' },
  { times: 100, words: 'a hundred times' },
] as const

/** Everything done again, or one call that is made once in a run, or once for each key. */
export function repeats(ground: Ground): readonly Strategy[] {
  return often.flatMap((again) => [...wholeAgain(ground, again), ...callsAgain(ground, again)])
}

type Again = (typeof often)[number]

function wholeAgain({ facts }: Ground, { times, words }: Again): readonly Strategy[] {
  const { text, program, ends } = facts
  const first = text.at(program.entry)
  const isFree = program.listing.every(({ source }) => !/\bIX/i.test(source))
  if (!isFree || first === undefined || ends.length === 0 || ends.includes(first)) return []
  const start = text.label()
  const again = ends.map((at): Insertion => {
    const last = text.label()
    const leaving = ['PUSH AF', 'DEC IXL', `JP Z,${last}`, 'POP AF', `JP ${start}`, `${last}: POP AF`]
    const [condition] = at.operands
    if (at.mnemonic !== 'RET' || condition === undefined) return { at, before: leaving }
    const over = text.label()
    return { at, instead: [`JP ${opposite[condition.toUpperCase()] ?? 'NZ'},${over}`, ...leaving, 'RET', `${over}:`] }
  })
  const image = text.with([{ at: first, ahead: [`LD IXL,${times}`, `${start}:`] }, ...again])
  if (image === null) return []
  return [
    {
      ...{ kind: 'repeated', words: `A program that does everything ${words}`, detail: null, image },
      ...{
        isWhole: false,
        subjects: ['values'],
        repeats: { words: `all of it runs ${words}`, check: null, caseId: null },
      },
    },
  ]
}

function callsAgain(ground: Ground, { times, words }: Again): readonly Strategy[] {
  const { facts, profile } = ground
  const { text, onceCalled, onceForEachKey } = facts
  const called = [
    ...onceCalled.map((at) => ({ at, usual: 'once' })),
    ...onceForEachKey.filter(({ mnemonic }) => mnemonic === 'CALL').map((at) => ({ at, usual: 'once for each key' })),
  ]
  return called.flatMap(({ at, usual }): Strategy[] => {
    const [operand = ''] = at.operands
    const routine = profile.firmware.routines.find(({ address }) => address === routineOf(operand, profile))
    // One that waits for a key takes the next one: a program that does so does not come to its end.
    if (at.operands.length !== 1 || (routine !== undefined && keyCodes(routine.address, profile) !== null)) return []
    const [start, on, counter] = [text.label(), text.label(), text.label()]
    const round = ['PUSH AF', 'PUSH BC', 'PUSH DE', 'PUSH HL', textOf(at), 'POP HL', 'POP DE', 'POP BC']
    const counting = [`LD A,(${counter})`, 'DEC A', `LD (${counter}),A`, `JP Z,${on}`, 'POP AF', `JP ${start}`]
    const before = ['PUSH AF', `LD A,${times - 1}`, `LD (${counter}),A`, 'POP AF', `${start}:`, ...round, ...counting]
    const image =
      times === 2
        ? text.with([{ at, before: [...round, 'POP AF'] }])
        : text.with([{ at, before: [...before, `${on}: POP AF`] }], [`${counter}: DB 0`])
    if (image === null) return []
    const name = routine?.name ?? operand
    return [
      {
        ...{ kind: 'repeated', detail: null, image, isWhole: false, subjects: [] },
        words: `A program that calls ${name} ${words}, where the model answer calls it ${usual}`,
        repeats: { words: `${name} is called ${words}`, ...countOf(ground, routine?.name ?? null) },
      },
    ]
  })
}

/** The check that counts the calls of a routine of the firmware, on the shortest case in which the model answer makes any. */
function countOf(
  { facts: { recorded, text }, profile }: Ground,
  name: string | null,
): Pick<NonNullable<Strategy['repeats']>, 'check' | 'caseId'> {
  const address = profile.firmware.routines.find((each) => each.name === name)?.address
  const isCall = ({ mnemonic, operands }: SourceInstruction): boolean =>
    (mnemonic === 'CALL' || mnemonic === 'JP') && routineOf(operands.at(-1) ?? '', profile) === address
  const calls = text.instructions.filter(isCall)
  for (const { stage, visits } of address === undefined ? [] : recorded) {
    const count = calls.reduce((sum, each) => sum + visits(each), 0)
    const caseId = stage.instance.of.id
    if (count > 0) return { check: { kind: 'calls-routine', routine: name, exactly: count }, caseId }
  }
  return { check: null, caseId: null }
}

export const opposite: Readonly<Record<string, string>> = {
  ...{ NZ: 'Z', Z: 'NZ', NC: 'C', C: 'NC', PO: 'PE', PE: 'PO', P: 'M', M: 'P' },
}
