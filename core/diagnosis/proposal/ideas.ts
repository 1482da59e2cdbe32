import type { Program } from '../../assembler/index.ts'
import type { BoardProfile } from '../../board/index.ts'
import { instructionSet, registerParts, type Addr } from '../../cpu/index.ts'
import { registerValue, type RegisterName } from '../../exercise/index.ts'
import { imageSize } from '../../image/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import { addressText, bytesText, onlyIf, withMargin, type Idea, type Plain, type Way } from './proposal.ts'

/** What ideas are made from. */
export interface Observed {
  readonly brief: string
  readonly ends: 'halt' | 'return'
  readonly program: Program
  readonly profile: BoardProfile
  readonly runs: readonly ModelBehaviour[]
}

/** Ids of cases, and whether students may see them. */
function casesOf({ runs }: Observed, isVisible: boolean): readonly string[] {
  return [
    ...new Set(runs.filter(({ instance }) => instance.isVisible === isVisible).map(({ instance }) => instance.of.id)),
  ]
}

/** The same idea for the cases that students see and, hidden, for the others. */
export function onAllCases(observed: Observed, idea: Idea, wayOf: Idea['ways']): readonly Idea[] {
  const [seen, unseen] = [casesOf(observed, true), casesOf(observed, false)]
  if (seen.length === 0 || unseen.length === 0) return [{ ...idea, ways: wayOf }]
  return [
    { ...idea, ways: wayOf.map((way) => ({ ...way, cases: seen })) },
    {
      ...idea,
      id: `${idea.id}-others`,
      title: `${idea.title}, other inputs`,
      ways: wayOf.map((way) => ({ ...way, cases: unseen, visible: false })),
    },
  ]
}

/** The bytes themselves: where the task gives them, or where the program is not made to come to an end. */
export function sheetIdeas({ brief, program, runs }: Observed): readonly Idea[] {
  const given = (brief.match(/\b[0-9A-F]{2}(?:\s+[0-9A-F]{2})+\b/g) ?? []).join(' ').replace(/\s+/g, ' ')
  const blocks = program.image.segments.map(({ start, bytes }) => ({ at: addressText(start), bytes: bytesText(bytes) }))
  const isSheet = blocks.every(({ bytes }) => bytes.includes(' ') && given.includes(bytes))
  const isEndless = runs.every(({ recording }) => !['halted', 'returned'].includes(recording.result.end.kind))
  if (!isSheet && !isEndless) return []
  const reason = isSheet
    ? 'The task gives the bytes.'
    : 'The model answer comes to no end: what can be checked is its bytes.'
  return [
    {
      ...{ id: 'bytes', group: 'function', weight: 3, title: 'The bytes handed in', reason },
      ways: [{ kind: 'program-bytes', want: blocks }],
    },
  ]
}

export function endIdeas({ ends }: Observed): readonly Idea[] {
  const how = ends === 'halt' ? 'halts' : 'returns to its caller'
  return [
    {
      ...{ id: ends === 'halt' ? 'halts' : 'returns', group: 'function', weight: 1, title: `The program ${how}` },
      reason: `The model answer ${how} on every run.`,
      ways: [{ kind: 'run-end' }],
    },
  ]
}

/** Size, stack and its own code, with a fifth to spare. */
export function careIdeas({ brief, program, runs }: Observed): readonly Idea[] {
  const size = imageSize(program.image)
  const depth = Math.max(...runs.map(({ stackDepth }) => stackDepth))
  const room = Math.max(2 * Math.ceil(withMargin(depth) / 2), depth + 2)
  const isOwn = (address: Addr): boolean =>
    program.image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
  const isWritten = runs.some(({ written }) => [...written].some(isOwn))
  return [
    sizeIdea(brief, size),
    {
      ...{ id: 'stack', group: 'care', weight: 1, title: 'The stack is as it was' },
      reason: `SP ends where it began, and the model answer has at most ${depth} bytes on the stack.`,
      ways: [{ kind: 'stack-balance', maxDepth: room }, { kind: 'stack-balance' }],
    },
    ...(isWritten
      ? []
      : [
          {
            ...{ id: 'own-code', group: 'care' as const, weight: 0.5, title: 'The program does not change itself' },
            reason: 'The model answer does not write over its own bytes.',
            ways: [{ kind: 'writes-own-code' }],
          },
        ]),
  ]
}

/** The limit that the task names, else a fifth more than the model answer: another answer may be longer and right. */
function sizeIdea(brief: string, size: number): Idea {
  const limits = [...brief.matchAll(/\bat most (\d+) bytes(?! of stack)|\bwhole program for (\d+)/gi)]
  const named = limits.map(([, one, other]) => Number(one ?? other)).find((limit) => limit >= size)
  const most = named ?? withMargin(size)
  const has = `The model answer has ${size} bytes`
  return {
    ...{ id: 'size', group: 'care', weight: 1, title: `At most ${most} bytes` },
    ...(named === undefined
      ? { reason: `${has}; a fifth more is allowed. ${onlyIf('limits the size')}`, isChosen: false }
      : { reason: `${has}, and the task allows ${named}.` }),
    ways: [{ kind: 'size', max: most }],
  }
}

/** Bytes that a task leaves to the program for its variables. */
function variablesIn(brief: string): readonly Block[] {
  return [...brief.matchAll(variableRange)].map(([, from = '0', to = '0']) => ({
    from: Number.parseInt(from, 16),
    to: Number.parseInt(to, 16),
  }))
}

const variableRange = /\bvariables\b[^.]*?\b([0-9A-F]{4})h to ([0-9A-F]{4})h/g

interface Block {
  readonly from: Addr
  readonly to: Addr
}

/** Addresses in stretches without gaps. */
function blocksOf(addresses: Iterable<Addr>): readonly Block[] {
  const blocks: { from: Addr; to: Addr }[] = []
  for (const address of [...new Set(addresses)].sort((a, b) => a - b)) {
    const last = blocks.at(-1)
    if (last?.to === address - 1) last.to = address
    else blocks.push({ from: address, to: address })
  }
  return blocks
}

/** The bytes that the program leaves, the digit buffer, and all other memory left alone. */
export function memoryIdeas(observed: Observed): readonly Idea[] {
  const { profile, program, runs } = observed
  const { digitBuffer, interruptHook } = profile.layout
  const isBuffer = (address: Addr): boolean => address >= digitBuffer && address < digitBuffer + profile.display.digits
  const isHook = (address: Addr): boolean =>
    interruptHook !== null && (address === interruptHook || address === interruptHook + 1)
  const isOwn = (address: Addr): boolean =>
    program.image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
  const isRam = (address: Addr): boolean =>
    profile.memory.some(({ kind, from, to }) => kind === 'ram' && address >= from && address <= to)
  const written = new Set(runs.flatMap((run) => [...run.written]).filter(isRam))
  const free = variablesIn(observed.brief)
  const named = new Set(
    (observed.brief.replace(variableRange, '').match(/\b[0-9A-F]{4}(?=h\b)/g) ?? []).map((hex) =>
      Number.parseInt(hex, 16),
    ),
  )
  const isVariable = (address: Addr): boolean =>
    !named.has(address) && free.some(({ from, to }) => address >= from && address <= to)
  const results = [...written].filter(
    (address) => !isBuffer(address) && !isHook(address) && !isOwn(address) && !isVariable(address),
  )
  const blocks = blocksOf(results)
  const ideas: Idea[] = []
  if (blocks.length > 0 && blocks.length <= 16) {
    const want = blocks.map((block) => wantOf(block, runs))
    const where = blocks.map(({ from, to }) =>
      from === to ? addressText(from) : `${addressText(from)} to ${addressText(to)}`,
    )
    ideas.push(
      ...onAllCases(
        observed,
        {
          ...{
            id: 'memory',
            group: 'function',
            weight: 3,
            title: `What stands at ${where.slice(0, 3).join(', ')}`,
            ways: [],
          },
          reason: `The model answer writes to ${where.join(', ')}.`,
        },
        [{ kind: 'memory', want }],
      ),
    )
  }
  if ([...written].some(isBuffer)) ideas.push(...bufferIdeas(observed))
  const variables = free.flatMap(({ from, to }) => Array.from({ length: to - from + 1 }, (_, i) => from + i))
  const touched = [...written, ...runs.flatMap((run) => [...run.byFirmware]), ...variables]
  const except = blocksOf(touched.filter(isRam)).map(({ from, to }) => ({
    from: addressText(from),
    to: addressText(to),
  }))
  if (except.length <= 64 && ![...written].some(isOwn)) {
    ideas.push({
      ...{ id: 'no-other-write', group: 'care', weight: 1, title: 'Nothing else is written' },
      reason: 'Beside its results and the stack the model answer writes nowhere.',
      ways: [
        { kind: 'memory', noOtherWrite: true, except },
        { kind: 'memory', elsewhere: 'unchanged', except },
      ],
    })
  }
  return ideas
}

/** The bytes themselves where they are the same on every run, else what the model answer leaves. */
function wantOf({ from, to }: Block, runs: readonly ModelBehaviour[]): Plain {
  const length = to - from + 1
  const texts = new Set(runs.map(({ recording }) => bytesText(recording.result.memory.subarray(from, to + 1))))
  const [text = ''] = texts
  return texts.size === 1 && length <= 16
    ? { at: addressText(from), bytes: text }
    : { at: addressText(from), bytes: 'model', length }
}

function bufferIdeas(observed: Observed): readonly Idea[] {
  const { profile, runs } = observed
  const from = profile.layout.digitBuffer
  const to = from + profile.display.digits - 1
  const texts = new Set(runs.map(({ recording }) => bytesText(recording.result.memory.subarray(from, to + 1))))
  const [bytes = ''] = texts
  const idea = {
    ...{ id: 'buffer', group: 'function' as const, weight: 2, title: 'What stands in the digit buffer', ways: [] },
    reason: 'The model answer writes to the digit buffer.',
    // Where signs were seen they say more, and another answer may show them without the buffer.
    isChosen: runs.every(({ signs }) => signs.length === 0 || signs.some(({ text }) => text.includes('?'))),
  }
  return texts.size === 1
    ? [{ ...idea, ways: [{ kind: 'digit-buffer', bytes }] }]
    : onAllCases(observed, idea, [
        { kind: 'memory', want: [{ at: addressText(from), bytes: 'model', length: to - from + 1 }] },
      ])
}

const wholeRegisters = ['bc', 'de', 'hl', 'ix', 'iy'] as const
const singleRegisters = ['a', 'b', 'c', 'd', 'e', 'h', 'l'] as const

function valuesOf(run: ModelBehaviour, register: RegisterName): readonly [before: number, after: number] {
  return [registerValue(run.before.registers, register), registerValue(run.recording.result.registers, register)]
}

/** The sentences of a task that name a word. */
function sentencesWith(brief: string, word: RegExp): readonly string[] {
  return brief
    .split(/[.;:!?](?:\s|$)/)
    .map((sentence) => sentence.replace(/\s+/g, ' '))
    .filter((sentence) => word.test(sentence))
}

/** Whether a task asks for a register: not where it says what firmware changes. Single letters are words of their own too. */
function isNamed(brief: string, register: string): boolean {
  const name = register.toUpperCase()
  const word =
    name.length === 2 ? `\\b${name}\\b` : `\\b(?:in|into|register|registers) ${name}\\b|\\b${name} (?:=|holds)`
  return sentencesWith(brief, new RegExp(word)).some((sentence) => !/\b(changes|spoils|uses)\b/.test(sentence))
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
    (each) => isKept(each) && (isNamed(brief, each) || (ends === 'return' && isSet(each))),
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

/** Words that are instructions and English. */
const plainWords = [
  'AND',
  'OR',
  'IN',
  'SET',
  'OUT',
  'HALT',
  'RET',
  'CALL',
  'NOP',
  'ADD',
  'SUB',
  'PUSH',
  'POP',
  'EX',
  'BIT',
  'RES',
  'INC',
  'DEC',
  'LD',
  'JP',
  'JR',
  'DI',
  'EI',
  'IM',
  'CP',
]
const mnemonics = new Set(instructionSet.map(({ text }) => text.split(' ')[0] ?? ''))

/** Instructions and firmware routines that the task names. */
export function wordIdeas({ brief, profile, runs }: Observed): readonly Idea[] {
  const words = new Set(brief.match(/\b[A-Z]{2,6}\b/g) ?? [])
  const named = [...words].filter((word) => mnemonics.has(word) && !plainWords.includes(word))
  const used = named.filter((word) => runs.some((run) => run.mnemonics.has(word)))
  const ideas: Idea[] = []
  if (used.length > 0) {
    ideas.push({
      ...{ id: 'instructions', group: 'care', weight: 1, title: `${named.join(' or ')} is used` },
      reason: 'The task names it, and the model answer executes it.',
      ways: [{ kind: 'required-instruction', any: named }],
    })
  }
  for (const { name, address } of profile.firmware.routines) {
    const sentences = sentencesWith(brief, new RegExp(`\\b${name}\\b`))
    if (sentences.length === 0) continue
    const isCalled = runs.some(({ entered }) => entered.has(address))
    const id = name.toLowerCase()
    const isDenied = sentences.some((sentence) => /\b(not|no|without|never|forbidden)\b/i.test(sentence))
    ideas.push(
      isCalled
        ? {
            ...{ id: `calls-${id}`, group: 'care', weight: 1, title: `${name} is called` },
            reason: 'The task names it, and the model answer calls it.',
            isChosen: sentences.some((sentence) =>
              new RegExp(`\\b(call|calls|use|show it with) ${name}\\b`, 'i').test(sentence),
            ),
            ways: [{ kind: 'calls-routine', routine: name }],
          }
        : {
            ...{ id: `without-${id}`, group: 'care', weight: 1, title: `${name} is not called` },
            reason: 'The task names it, and the model answer does without.',
            isChosen: isDenied,
            ways: [{ kind: 'forbidden-routine', routines: [name] }],
          },
    )
  }
  return ideas
}
