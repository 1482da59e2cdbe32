import { instructionSet, type Addr } from '../../cpu/index.ts'
import { imageSize } from '../../image/index.ts'
import { sentencesWith, type Observed } from './observed.ts'
import { addressText, bytesText, onlyIf, withMargin, type Idea } from './proposal.ts'

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
