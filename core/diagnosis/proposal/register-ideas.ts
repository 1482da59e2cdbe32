import { registerParts } from '../../cpu/index.ts'
import { registerValue, type RegisterName } from '../../exercise/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import { onAllCases, sentencesWith, type Observed } from './observed.ts'
import { onlyIf, type Idea, type Plain, type Way } from './proposal.ts'
import { stanceOn } from './stance.ts'

const wholeRegisters = ['bc', 'de', 'hl', 'ix', 'iy'] as const
const singleRegisters = ['a', 'b', 'c', 'd', 'e', 'h', 'l'] as const

function valuesOf(run: ModelBehaviour, register: RegisterName): readonly [before: number, after: number] {
  return [registerValue(run.before.registers, register), registerValue(run.recording.result.registers, register)]
}

/** Whether a task asks for a register: not where it says what firmware changes. Single letters are words of their own too. */
function isNamed(brief: string, register: string): boolean {
  const name = register.toUpperCase()
  const word =
    name.length === 2 ? `\\b${name}\\b` : `\\b(?:in|into|register|registers) ${name}\\b|\\b${name} (?:=|holds)`
  return sentencesWith(brief, new RegExp(word)).some((sentence) => !/\b(changes|spoils|uses)\b/.test(sentence))
}

/** `BC need not be kept`, `you may use BC`: no one asks for it to come back. */
function mayChange(brief: string, register: string): boolean {
  return ['allowed', 'free'].includes(stanceOn(brief, register.toUpperCase()) ?? '')
}

/** Registers in which a run's inputs are. */
function isInput(runs: readonly ModelBehaviour[], register: string): boolean {
  return runs.some(({ instance }) => {
    const given = Object.keys(instance.of.given?.registers ?? {})
    return [...given, ...instance.of.draws.map((draw) => draw.register ?? '')].includes(register)
  })
}

/** Registers that come back unharmed, and those in which the result is. */
export function registerIdeas(observed: Observed, hasOtherResult: boolean): readonly Idea[] {
  const { brief, ends, runs } = observed
  const isKept = (register: RegisterName): boolean =>
    runs.every((run) => {
      const [before, after] = valuesOf(run, register)
      return before === after
    })
  const isSet = (register: string): boolean =>
    [...register.toUpperCase()].some((half) =>
      runs.some(({ partsSet }) => ((partsSet >> registerParts.findIndex((part) => part === half)) & 1) === 1),
    )
  const kept = wholeRegisters.filter(
    (each) => isKept(each) && !mayChange(brief, each) && (isNamed(brief, each) || (ends === 'return' && isSet(each))),
  )
  const named = [...wholeRegisters, ...singleRegisters].filter(
    (each) => isNamed(brief, each) && !isKept(each) && !isInput(runs, each),
  )
  const changed = hasOtherResult ? [] : [...singleRegisters].filter((each) => !isKept(each))
  const results = named.length > 0 ? withoutHalves(named) : changed
  const ideas: Idea[] = []
  if (kept.length > 0) {
    ideas.push({
      ...{
        id: 'registers-kept',
        group: 'care',
        weight: 1,
        title: `${kept.map((each) => each.toUpperCase()).join(', ')} come back as they were`,
      },
      reason: 'The model answer leaves them as it found them.',
      ways: [{ kind: 'registers-kept', registers: kept }],
    })
  }
  if (results.length > 0) {
    const want = Object.fromEntries(results.map((each) => [each, registerWant(runs, each)]))
    ideas.push(
      ...onAllCases(
        observed,
        {
          ...{
            id: 'registers',
            group: 'function',
            weight: 3,
            title: `${results.map((each) => each.toUpperCase()).join(', ')} at the end`,
            ways: [],
          },
          ...registerReason(brief, named, hasOtherResult),
        },
        [{ kind: 'registers', want }],
      ),
    )
  }
  ideas.push(...flagIdeas(observed))
  return ideas
}

/** Beside another result a register is one too only where the task says so: it may name what a routine takes or gives. */
function registerReason(
  brief: string,
  named: readonly string[],
  hasOtherResult: boolean,
): Pick<Idea, 'reason' | 'isChosen'> {
  if (named.length === 0) return { reason: 'The model answer leaves nothing else behind.' }
  const reason = 'The task names them, and the model answer changes them.'
  const isResult = named.every((each) =>
    sentencesWith(brief, new RegExp(`\\b${each.toUpperCase()}\\b`)).some((sentence) =>
      /\b(leaves?|returns?|result|ends?|comes? back|holds)\b/i.test(sentence),
    ),
  )
  if (!hasOtherResult || isResult) return { reason }
  return { reason: `${reason} ${onlyIf('leaves a result in them')}`, isChosen: false }
}

function withoutHalves(
  names: readonly (typeof wholeRegisters | typeof singleRegisters)[number][],
): readonly RegisterName[] {
  return names.filter((each) => each.length === 2 || !names.some((other) => other.length === 2 && other.includes(each)))
}

function registerWant(runs: readonly ModelBehaviour[], register: RegisterName): Plain {
  const values = new Set(runs.map((run) => valuesOf(run, register)[1]))
  const [value = 0] = values
  return values.size === 1 ? value : 'model'
}

const flagsNamed = [
  ['c', /carry flag|flag C\b|\bcarry (is|set|clear)|\bC = [01]/i],
  ['z', /zero flag|flag Z\b|\bZ (is|set|clear)|\bZ = [01]/],
] as const

function flagIdeas(observed: Observed): readonly Idea[] {
  const named = flagsNamed.filter(([, pattern]) => pattern.test(observed.brief)).map(([flag]) => flag)
  if (named.length === 0) return []
  // Of several jobs, the one that leaves nothing in memory is the one that answers with a flag.
  const quiet = observed.runs.filter(({ written }) => [...written].length === 0)
  const isPart = hasSeveralJobs(observed.brief) && quiet.length > 0 && quiet.length < observed.runs.length
  const runs = isPart ? quiet : observed.runs
  const cases: Way = isPart ? { cases: [...new Set(quiet.map(({ instance }) => instance.of.id))] } : {}
  return onAllCases(
    { ...observed, runs },
    {
      ...{
        id: 'flags',
        group: 'function',
        weight: 1,
        title: `Flag ${named.join(', ').toUpperCase()} at the end`,
        ways: [],
      },
      reason: isPart ? 'The task names it; these runs leave nothing else behind.' : 'The task names it.',
    },
    [{ kind: 'flags', want: Object.fromEntries(named.map((flag) => [flag, 'model'])), ...cases }],
  )
}

/** One routine that is called for this or for that. */
function hasSeveralJobs(brief: string): boolean {
  return (brief.match(/\bcalled with\b/g) ?? []).length > 1
}
