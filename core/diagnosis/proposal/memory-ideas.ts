import type { Addr } from '../../cpu/index.ts'
import type { ModelBehaviour } from './model-behaviour.ts'
import { onAllCases, type Observed } from './observed.ts'
import { addressText, bytesText, type Idea, type Plain } from './proposal.ts'

/** Bytes that a task leaves to the program for its variables. */
function variablesIn(brief: string): readonly Block[] {
  return [...brief.matchAll(variableRange)].map(([, from, to, fromBefore = '0', toBefore = '0']) => ({
    from: Number.parseInt(from ?? fromBefore, 16),
    to: Number.parseInt(to ?? toBefore, 16),
  }))
}

/** `variables take 4600h to 461Fh`, or `4600h to 461Fh, which is for variables`. */
const variableRange =
  /\bvariables\b[^.]*?\b([0-9A-F]{4})h to ([0-9A-F]{4})h|\b([0-9A-F]{4})h to ([0-9A-F]{4})h[^.;]{0,30}?\bfor variables\b/g

/** Addresses that a task names, those left to the program for its variables not among them. */
export function namedIn(brief: string): ReadonlySet<Addr> {
  const named = brief.replace(variableRange, '').match(/\b[0-9A-F]{4}(?=h\b)/g) ?? []
  return new Set(named.map((hex) => Number.parseInt(hex, 16)))
}

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
  const named = namedIn(observed.brief)
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
