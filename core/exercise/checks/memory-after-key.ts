import { eventCode } from '../../board/index.ts'
import type { Byte, TState } from '../../cpu/index.ts'
import { showCount, showWord } from '../../image/index.ts'
import type { KeyPress } from '../../run/index.ts'
import { endOf, type CaseRun, type Moment } from '../case-run.ts'
import { bytes, duration, list, required, tStatesOf, word, type ReadFields } from '../schema/index.ts'
import { bytesText, milliseconds } from '../words.ts'
import { checkKind, failed, orOfCase, passed, withParts, type Verdict } from './check.ts'

const fields = {
  at: required(orOfCase(word), 'Address of the first byte.'),
  bytes: required(orOfCase(list(bytes(1, 256), 1, 200)), 'What stands there after each press, one entry for each key.'),
  after: required(orOfCase(duration), 'How long after a press, its first contact, memory is looked at.'),
}

type Wants = ReadFields<typeof fields>

/** Walks through the writes of a run and tells what a stretch of memory held at one time after another. */
class Watcher {
  readonly #run: CaseRun
  readonly #from: number
  readonly #held: Uint8Array
  #next = 0
  /** The last write that was seen to each byte. */
  readonly #writes: (Moment | null)[]

  constructor(run: CaseRun, from: number, length: number) {
    this.#run = run
    this.#from = from
    this.#held = run.initial().memory.slice(from, from + length)
    this.#writes = Array.from({ length }, () => null)
  }

  /** The bytes at T-state `t`; times must not go back. */
  at(t: TState): Uint8Array {
    const { events } = this.#run.result
    for (; this.#next < events.length && events.timeAt(this.#next) <= t; this.#next++) {
      const i = this.#next
      if (events.codeAt(i) !== eventCode.memoryWrite) continue
      const offset = events.whereAt(i) - this.#from
      if (offset < 0 || offset >= this.#held.length) continue
      this.#held[offset] = events.valueAt(i)
      this.#writes[offset] = { t: events.timeAt(i), address: events.pcAt(i), step: null }
    }
    return this.#held
  }

  /** The write that left a byte as it is; the end of the run where nothing wrote there. */
  lastWrite(offset: number): Moment {
    return this.#writes[offset] ?? endOf(this.#run)
  }
}

function firstWrong(held: Uint8Array, wanted: readonly Byte[]): number {
  return wanted.findIndex((value, i) => held[i] !== value)
}

function describe(check: Wants): string {
  const shown = check.bytes.map((each) => bytesText(each))
  const cut = shown.length > 5 ? [...shown.slice(0, 3), '…', ...shown.slice(-1)] : shown
  return `${showWord(check.at)}: ${cut.join(', ')} after each of ${showCount(check.bytes.length, 'key')}`
}

export const memoryAfterKey = checkKind({
  name: 'memory-after-key',
  category: 'memory after each key',
  about: 'Some time after each press of a key memory holds what it should.',
  example: ['at: 4600h', "bytes: ['01', '02', '03']", 'after: 50 ms'],
  fields,
  needsEnd: false,
  part: 'key',
  cost: 1,
  isWatchingWrites: () => true,
  describe,
  // A byte that nothing has written yet, or only something made of chance.
  mayBeChance(check, run, use) {
    const before = run.initial().memory
    return check.bytes.some((aim) =>
      aim.some((value, i) => {
        const at = check.at + i
        return (use.wasByteUndefined(at) && before[at] === value) || use.wasStored(at)
      }),
    )
  },
  evaluate(check, run) {
    const { clockHz } = run.profile
    const keys = run.request.given.keys.filter(({ isIdle }) => isIdle !== true).toSorted((a, b) => a.from - b.from)
    const length = Math.max(...check.bytes.map((each) => each.length))
    const watcher = new Watcher(run, check.at, length)
    const wanted = describe(check)
    const after = tStatesOf(check.after, clockHz)
    let wrong: Verdict | null = null
    let right = 0
    for (const [i, aim] of check.bytes.entries()) {
      const found = wrongAfter(check, run, watcher, keys[i], { i, aim, after, wanted })
      if (found === null) right += 1
      wrong ??= found
    }
    const measured = `right after each of ${showCount(check.bytes.length, 'key')}`
    return withParts(wrong ?? passed(measured, wanted, null, endOf(run)), right, check.bytes.length)
  },
})

interface AfterKey {
  readonly i: number
  readonly aim: readonly Byte[]
  /** In T-states. */
  readonly after: TState
  readonly wanted: string
}

/** What is wrong some time after a press; null where memory is right. */
function wrongAfter(
  check: Wants,
  run: CaseRun,
  watcher: Watcher,
  press: KeyPress | undefined,
  { i, aim, after, wanted }: AfterKey,
): Verdict | null {
  const t = (press?.from ?? 0) + after
  if (press === undefined || t > run.result.tStates) {
    const message = `The run had ended ${milliseconds(after, run.profile.clockHz)} after key ${i + 1}; wanted ${bytesText(aim)} at ${showWord(check.at)} then.`
    return failed(`${showCount(i, 'key')} before the run ended`, wanted, message, endOf(run))
  }
  const held = watcher.at(t)
  const wrong = firstWrong(held, aim)
  if (wrong < 0) return null
  const measured = `${showWord(check.at)}: ${bytesText(held.subarray(0, aim.length))} after key ${i + 1}`
  const place = showWord(check.at + wrong)
  const found = bytesText([held[wrong] ?? 0])
  const message = `After key ${i + 1} (${press.key}) ${place} held ${found}; wanted ${bytesText([aim[wrong] ?? 0])}.`
  return failed(measured, wanted, message, watcher.lastWrite(wrong))
}
