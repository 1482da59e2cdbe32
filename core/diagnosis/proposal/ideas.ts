import type { Program } from '../../assembler/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { imageSize } from '../../image/index.ts'
import type { Observed } from './observed.ts'
import { addressText, bytesText, onlyIf, withMargin, type Idea } from './proposal.ts'

/** Whether the task gives the bytes of the model answer, as a sheet to be keyed in does. */
export function isGivenSheet({ brief, program }: Observed): boolean {
  const given = (brief.match(/\b[0-9A-F]{2}(?:\s+[0-9A-F]{2})+\b/g) ?? []).join(' ').replace(/\s+/g, ' ')
  return blocksOf(program).every(({ bytes }) => bytes.includes(' ') && given.includes(bytes))
}

/** The bytes themselves, where they are the answer. */
export function sheetIdeas(observed: Observed): readonly Idea[] {
  const reason = isGivenSheet(observed) ? 'The task gives the bytes.' : 'You said that the bytes are the answer.'
  return [
    {
      ...{ id: 'bytes', group: 'function', weight: 3, title: 'The bytes handed in', reason },
      ways: [{ kind: 'program-bytes', want: blocksOf(observed.program) }],
    },
  ]
}

function blocksOf({ image }: Program): readonly { readonly at: string; readonly bytes: string }[] {
  return image.segments.map(({ start, bytes }) => ({ at: addressText(start), bytes: bytesText(bytes) }))
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
