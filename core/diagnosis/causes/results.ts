import { byteDigits, showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { Fact } from './facts.ts'
import { halfOf } from './register-halves.ts'
import type { Scene } from './scene.ts'
import { seenAt, seenAtEnd } from './signs.ts'

const wordForByte: Detector = {
  id: 'word-for-byte',
  title: 'A word is moved where a byte is meant',
  looksAt: 'stores of a pair whose second byte lands on something that should have stayed',
  *signs(scene) {
    for (const view of scene.views) {
      for (const { address, found, wanted, initial } of view.wrongBytes) {
        const writer = view.lastWriter(address)
        const isSecond =
          writer !== null &&
          /^LD \((?!HL|DE|BC|I[XY])[^)]*\),(HL|DE|BC|IX|IY|SP)$/.test(writer.text) &&
          writer.writes.at(-1)?.address === address
        if (!isSecond || wanted !== initial) continue
        yield {
          ...seenAt(view, writer),
          weight: 0.945,
          found: `${writer.text} writes two bytes, the second to ${showWord(address)}`,
          wanted: `${showWord(address)} left at ${showByte(wanted)}`,
          message: `${writer.text} at ${showWord(writer.pc)} writes two bytes: the second one goes to ${showWord(address)}, which becomes ${showByte(found)} and should have stayed ${showByte(wanted)}. For one byte go through A.`,
        }
        return
      }
    }
  },
}

const notStored: Detector = {
  id: 'result-not-stored',
  title: 'A result is not stored or not used',
  isConsequence: true,
  looksAt:
    'places that the model answer writes and the program never does, and answers of routines that are overwritten unread',
  *signs(scene) {
    yield* answerThrownAway(scene)
    yield* neverUsed(scene)
    for (const view of scene.views) {
      const { kind } = view.result.end
      const missing = view.wrongBytes.find(
        ({ address, found, wanted, initial }) =>
          found === initial && wanted !== initial && view.lastWriter(address) === null,
      )
      if (missing === undefined || (kind !== 'halted' && kind !== 'returned')) continue
      const count = view.wrongBytes.length
      yield {
        ...seenAtEnd(view),
        address: missing.address,
        weight: count === 1 ? 0.9 : 0.86,
        found: `nothing is written to ${showWord(missing.address)}`,
        wanted: `${missing.isOne ? byteDigits(missing.wanted) : 'a result'} stored there`,
        message: `The program never writes to ${showWord(missing.address)}, where ${missing.isOne ? showByte(missing.wanted) : 'its result'} should stand at the end. A result counts only when it is stored where the task wants it.`,
      }
      return
    }
  },
}

/** What a routine gives in A, overwritten before anything has read it. */
function* answerThrownAway(scene: Scene): Generator<Sign> {
  const view = scene.main
  let call: Fact | null = null
  let before: Fact | null = null
  let isEntered = false
  for (const fact of view.facts) {
    if (fact.kind === 'firmware') {
      const isCalled = before !== null && before.text.startsWith('CALL')
      call = isCalled && /\bA =/.test(fact.routine?.gives ?? '') ? fact : null
      isEntered = true
      continue
    }
    // Else an interrupt came, or a part of the run was passed over.
    if (isEntered && before !== null && fact.pc !== before.pc + before.bytes.length) call = null
    isEntered = false
    before = fact
    if (call === null) continue
    if (fact.use.reads.has('A')) call = null
    else if (fact.use.writes.has('A')) {
      const name = call.routine?.name ?? 'the routine'
      yield {
        ...seenAt(view, fact),
        weight: 0.95,
        found: `${fact.text} overwrites what ${name} gave in A`,
        wanted: 'A stored or used first',
        message: `${name} gives its answer in A, and ${fact.text} at ${showWord(fact.pc)} overwrites it before anything has used or stored it.`,
      }
      return
    }
  }
}

/** A register that a loop works out round by round, and that nothing looks at afterwards though only flags are asked for. */
function* neverUsed(scene: Scene): Generator<Sign> {
  const isFlagsOnly = scene.failed.length > 0 && scene.failed.every(({ check }) => !/^registers/.test(check.kind))
  const view = scene.main
  if (!isFlagsOnly || scene.failedOf('flags').length === 0) return
  const writes = new Map<number, number>()
  for (const { pc, use } of view.own) if (use.writes.size > 0) writes.set(pc, (writes.get(pc) ?? 0) + 1)
  const read = new Set<string>()
  for (const fact of view.own.toReversed()) {
    const [, half = ''] = /^LD ([BCDEHL]),A$/.exec(fact.text) ?? []
    if (half !== '' && !read.has(half) && (writes.get(fact.pc) ?? 0) > 2) {
      yield {
        ...seenAt(view, fact),
        weight: 0.72,
        found: `${half} = ${showByte(halfOf(fact.after, half as 'B'))} is worked out and never used`,
        wanted: 'a comparison with it',
        message: `The loop works out ${half} (${fact.text} at ${showWord(fact.pc)}), and nothing looks at it afterwards. A result that nobody compares or stores decides nothing.`,
      }
      return
    }
    for (const each of fact.use.reads) read.add(each)
  }
}

/** Results that are stored in a wrong size, or not at all. */
export const results: readonly Detector[] = [wordForByte, notStored]
