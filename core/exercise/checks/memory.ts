import type { Addr, Byte } from '../../cpu/index.ts'
import type { RunResult, UndefinedUse } from '../../run/index.ts'
import { endOf, lastWriteTo, momentWords, type CaseRun } from '../case-run.ts'
import { bytes, choice, flag, list, object, optional, required, whole, word, type Read } from '../schema/index.ts'
import { showByte, showCount, showWord } from '../../image/index.ts'
import { bytesText } from '../words.ts'
import { checkKind, failed, orModel, orOfCase, passed, type Parts, type Verdict } from './check.ts'

const block = object('wanted-bytes', 'Bytes wanted in memory at the end.', {
  at: required(orOfCase(word), 'Address of the first byte.'),
  bytes: required(orModel(bytes(1, 4096)), 'The bytes, or `model`: those that the model answer leaves.'),
  length: optional(orOfCase(whole(1, 4096)), 'With `model`: how many bytes are compared.', 1),
})

/** Addresses from `from` to `to`, both included. */
export const range = object('range', 'Addresses from one to another, both included.', {
  from: required(orOfCase(word), 'First address.'),
  to: required(orOfCase(word), 'Last address.'),
})

type Range = Read<typeof range>

/** Where SP stands when the run begins. */
export function startOfStack(run: CaseRun): Addr {
  return run.request.given.registers.sp ?? run.profile.layout.stackTop
}

function wantedBytes(wanted: Read<typeof block>, run: { readonly model: () => RunResult | null }): readonly Byte[] {
  if (wanted.bytes !== 'model') return wanted.bytes
  return Array.from(run.model()?.memory.subarray(wanted.at, wanted.at + wanted.length) ?? [])
}

/** Where a check lets memory change: what it wants, what it excepts, and the stack. */
function sparedBy(
  check: { readonly except: readonly Range[]; readonly stackBytes: number },
  blocks: readonly { readonly at: Addr; readonly wanted: readonly Byte[] }[],
  run: CaseRun,
): readonly Range[] {
  const stackTop = startOfStack(run)
  return [
    ...blocks.map(({ at, wanted }) => ({ from: at, to: at + wanted.length - 1 })),
    ...check.except,
    { from: stackTop - check.stackBytes, to: stackTop - 1 },
  ]
}

/** Whether a byte is as wanted because nothing set it; not so where the model answer leaves it alone too. */
function isWantedByChance(wanted: Read<typeof block>, run: CaseRun, use: UndefinedUse): boolean {
  const model = wanted.bytes === 'model' ? run.model()?.undefinedUse : undefined
  return wantedBytes(wanted, run).some((_, i) => {
    const at = wanted.at + i
    const isLeftAlone = !use.isWritten(at) && model?.isWritten(at) === false
    return use.isByteUndefined(at) && !isLeftAlone
  })
}

/** Whether a byte outside `spared` was written to and holds by chance what it held. */
function isUnchangedByChance(run: CaseRun, spared: readonly Range[], use: UndefinedUse): boolean {
  const before = run.initial().memory
  const after = run.result.memory
  for (const { kind, from, to } of run.profile.memory) {
    if (kind !== 'ram') continue
    for (let at = from; at <= to; at++) {
      if (!use.isWritten(at) || !use.wasByteUndefined(at) || before[at] !== after[at]) continue
      if (!spared.some((range) => at >= range.from && at <= range.to)) return true
    }
  }
  return false
}

/** The first RAM byte outside `spared` that differs from what it was at the start. */
function firstChange(run: CaseRun, spared: readonly Range[]): Addr | null {
  const before = run.initial().memory
  const after = run.result.memory
  for (const region of run.profile.memory) {
    if (region.kind !== 'ram') continue
    for (let address = region.from; address <= region.to; address++) {
      if (before[address] === after[address]) continue
      if (!spared.some(({ from, to }) => address >= from && address <= to)) return address
    }
  }
  return null
}

/** The verdict on everything that should have stayed as it was. */
function elsewhere(
  run: CaseRun,
  spared: readonly Range[],
  isEveryWriteForbidden: boolean,
  wanted: string,
): Verdict | null {
  if (isEveryWriteForbidden) {
    for (const event of run.result.events) {
      if (event.kind !== 'memory-write') continue
      const { address, value, t, pc } = event
      if (spared.some(({ from, to }) => address >= from && address <= to)) continue
      const message = `Wrote ${showByte(value)} to ${showWord(address)}, which the task leaves alone.`
      return failed(`a write to ${showWord(address)}`, wanted, message, { t, address: pc, step: null })
    }
    return null
  }
  const address = firstChange(run, spared)
  if (address === null) return null
  const found = showByte(run.result.memory[address] ?? 0)
  const was = showByte(run.initial().memory[address] ?? 0)
  const message = `${showWord(address)} changed from ${was} to ${found}; the task leaves it alone.`
  return failed(`${showWord(address)} changed to ${found}`, wanted, message, lastWriteTo(run, address))
}

export const memory = checkKind({
  name: 'memory',
  category: 'memory at the end',
  about: 'Bytes of memory hold given values at the end, and the rest stays as it was.',
  example: ['want: [{ at: 4602h, bytes: 2C 1C }]', 'elsewhere: unchanged'],
  fields: {
    want: optional(list(block, 0, 64), 'The bytes wanted.', [], 'no bytes'),
    elsewhere: optional(choice(['free', 'unchanged']), 'Whether other RAM may end up different.', 'free' as const),
    noOtherWrite: optional(flag, 'Not even a write of the same value is allowed elsewhere.', false),
    except: optional(list(range, 0, 64), 'More addresses that may change.', []),
    stackBytes: optional(whole(0, 1024), 'Bytes below the start of the stack that may change.', 64),
  },
  needsEnd: true,
  isOfMoment: true,
  part: 'byte',
  isWatchingWrites: (check) => check.noOtherWrite,
  needsModel: (check) => check.want.some((each) => each.bytes === 'model'),
  describe(check) {
    const parts = check.want.map((each) =>
      each.bytes === 'model'
        ? `${showWord(each.at)}: ${showCount(each.length, 'byte')} as the model answer leaves them`
        : `${showWord(each.at)}: ${bytesText(each.bytes)}`,
    )
    if (check.noOtherWrite) parts.push('no write anywhere else')
    else if (check.elsewhere === 'unchanged') parts.push('all other RAM unchanged')
    return parts.join('; ')
  },
  wants: (check, _profile, model) =>
    check.want.flatMap((each) =>
      wantedBytes(each, { model }).map((value, i) => ({ kind: 'byte' as const, at: each.at + i, value })),
    ),
  mayBeChance(check, run, use) {
    const blocks = check.want.map((each) => ({ at: each.at, wanted: wantedBytes(each, run) }))
    if (check.want.some((block) => isWantedByChance(block, run, use))) return true
    return check.elsewhere === 'unchanged' && isUnchangedByChance(run, sparedBy(check, blocks, run), use)
  },
  evaluate(check, run) {
    const blocks = check.want.map((each) => ({ at: each.at, wanted: wantedBytes(each, run) }))
    const text = (bytesOf: (each: (typeof blocks)[number]) => Iterable<number>): string =>
      blocks.map((each) => `${showWord(each.at)}: ${bytesText(bytesOf(each))}`).join('; ')
    const rule = check.noOtherWrite ? 'no other write' : check.elsewhere === 'unchanged' ? 'the rest unchanged' : ''
    const wanted = [text((each) => each.wanted), rule].filter((part) => part !== '').join('; ')
    const measured = text((each) => run.result.memory.subarray(each.at, each.at + each.wanted.length))
    const isGuarded = check.noOtherWrite || check.elsewhere === 'unchanged'
    const spared = sparedBy(check, blocks, run)
    const other = (): Verdict | null => (isGuarded ? elsewhere(run, spared, check.noOtherWrite, wanted) : null)
    const parts = (): Parts => partsOf(run, blocks, isGuarded ? other() === null : null)
    for (const { at, wanted: bytesWanted } of blocks) {
      const i = bytesWanted.findIndex((value, offset) => run.result.memory[at + offset] !== value)
      if (i < 0) continue
      const found = showByte(run.result.memory[at + i] ?? 0)
      const message = `${momentWords(run).lead} ${showWord(at + i)} holds ${found}; wanted ${showByte(bytesWanted[i] ?? 0)}.`
      return { ...failed(measured, wanted, message, lastWriteTo(run, at + i)), parts }
    }
    const right = [measured, rule].filter((part) => part !== '').join('; ')
    return { ...(other() ?? passed(right, wanted, null, endOf(run))), parts }
  },
})

/** Each byte is a part; that all else stays as it was is one more, which a program that got no byte right does not earn. */
function partsOf(
  run: CaseRun,
  blocks: readonly { readonly at: Addr; readonly wanted: readonly Byte[] }[],
  isKept: boolean | null,
): Parts {
  const rightIn = (held: Uint8Array): number =>
    blocks.reduce((sum, each) => sum + each.wanted.filter((value, i) => held[each.at + i] === value).length, 0)
  const right = rightIn(run.result.memory)
  const before = rightIn(run.initial().memory)
  const of = blocks.reduce((sum, each) => sum + each.wanted.length, 0)
  const isEarned = isKept === true && (right > before || of === 0)
  return { right: right + (isEarned ? 1 : 0), of: of + (isKept === null ? 0 : 1), before }
}
