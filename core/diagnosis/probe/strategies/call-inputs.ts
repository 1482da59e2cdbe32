import type { Call, Exercise, ExerciseCase, Given } from '../../../exercise/index.ts'
import type { Stage } from '../../../trial/index.ts'
import { caseWith } from './inputs.ts'
import type { Maker, ProbingInput } from './probing-inputs.ts'

const nothingOwn: Pick<Call, 'registers' | 'memory' | 'draws' | 'expect' | 'times'> = {
  ...{ registers: {}, memory: [], draws: [], expect: {}, times: 1 },
}

/** A case makes no more calls than 64. */
const mostTimes = 63

/** A routine called once more than in any case, with the same values and with others; once where all cases call it often. */
export function callInputs(
  bases: readonly Stage[],
  exercise: Exercise,
  mostCalls: number,
  made: Maker,
): readonly ProbingInput[] {
  if (exercise.program.ends !== 'return') return []
  const free = bases.filter(({ instance: { of } }) => (of.given?.driver ?? exercise.given?.driver ?? null) === null)
  const single = free.filter(({ instance }) => instance.of.calls.length === 0)
  const [stage, other] = single
  const [several] = free.filter(({ instance }) => instance.of.calls.length > 0)
  if (stage !== undefined) {
    const times = Math.max(1, Math.min(mostTimes, mostCalls))
    const again = times === 1 ? 'a second call' : 'one call more'
    const input = (what: string, words: string, calls: readonly Call[]): ProbingInput =>
      made.input('calls', words, true, stage, withCalls(stage, `again-${what}`, words, calls))
    const values = other === undefined ? null : ownValues(other)
    return [
      input('same', again, [{ ...nothingOwn, times: times + 1 }]),
      ...(values === null ? [] : [input('other', `${again} with other values`, [{ ...nothingOwn, times }, values])]),
    ]
  }
  if (several === undefined) return []
  const { calls } = several.instance.of
  const [first, last] = [calls[0], calls.at(-1)]
  if (first === undefined || last === undefined) return []
  const once = made.input('calls', 'a single call', true, several, called(several, first))
  const words = 'one call more'
  const more = withCalls(several, 'again-more', words, [...calls, { ...last, times: 1 }])
  return [once, made.input('calls', words, true, several, more)]
}

function withCalls(stage: Stage, what: string, words: string, calls: readonly Call[]): ExerciseCase {
  return { ...caseWith(stage, [], `${stage.instance.of.id.slice(0, 16)}-${what}`, words), calls }
}

/** The first call of a case as a case of its own. */
function called(stage: Stage, { registers, memory, draws }: Call): ExerciseCase {
  const written = caseWith(stage, [], `${stage.instance.of.id.slice(0, 16)}-once`, 'Called once')
  const { given } = written
  const own: Given | null =
    given === null
      ? null
      : { ...given, registers: { ...given.registers, ...registers }, memory: [...given.memory, ...memory] }
  return { ...written, given: own, draws, calls: [] }
}

/** What a case gives and draws, as a call; null where it gives what a call cannot. */
function ownValues(stage: Stage): Call | null {
  const { given } = caseWith(stage, [], 'values', 'Values')
  if (given === null || given.keys.length > 0 || 'sp' in given.registers) return null
  const { registers, memory } = given
  return Object.keys(registers).length + memory.length === 0 ? null : { ...nothingOwn, registers, memory }
}
