import type { Addr, Byte } from '../../cpu/index.ts'
import type { UndefinedUse } from '../../run/index.ts'
import { endOf, lastWriteTo, momentWords, type CaseRun } from '../case-run.ts'
import { choice, flag, list, object, optional, required, whole, word, type Read } from '../schema/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import { bytesText } from '../words.ts'
import { checkKind, failed, orOfCase, passed, type Parts, type Verdict } from './check.ts'
import { countOutOfPlace } from './out-of-place.ts'
import { blockOf, type WantedBlock } from './wanted-block.ts'
import { bytesMisfits, describeBytes, needsModel, openPlaces, wantedBytes, type WantedBytes } from './wanted-bytes.ts'

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

/** Where a check lets memory change: what it wants, what it excepts, and the stack. */
function sparedBy(
  check: { readonly except: readonly Range[]; readonly stackBytes: number },
  blocks: readonly WantedBlock[],
  run: CaseRun,
): readonly Range[] {
  const stackTop = startOfStack(run)
  return [
    ...blocks.map(({ at, length }) => ({ from: at, to: at + length - 1 })),
    ...check.except,
    { from: stackTop - check.stackBytes, to: stackTop - 1 },
  ]
}

/** Whether a byte is as wanted because nothing set it; not so where the model answer leaves it alone too. */
function isWantedByChance(wanted: WantedBytes, run: CaseRun, use: UndefinedUse): boolean {
  const model = wanted.bytes === 'model' ? run.model()?.undefinedUse : undefined
  const isByChance = (at: Addr): boolean => {
    const isLeftAlone = !use.isWritten(at) && model?.isWritten(at) === false
    return use.isByteUndefined(at) && !isLeftAlone
  }
  return blockOf(wanted, () => run.model()).values.some(
    ({ place }) =>
      place.kind === 'bytes' && Array.from({ length: place.length }, (_, i) => place.at + i).some(isByChance),
  )
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
    want: optional(list(wantedBytes, 0, 64), 'The bytes wanted.', [], 'no bytes'),
    elsewhere: optional(choice(['free', 'unchanged']), 'Whether other RAM may end up different.', 'free' as const),
    noOtherWrite: optional(flag, 'Not even a write of the same value is allowed elsewhere.', false),
    except: optional(list(range, 0, 64), 'More addresses that may change.', []),
    stackBytes: optional(whole(0, 1024), 'Bytes below the start of the stack that may change.', 64),
  },
  needsEnd: true,
  isCreditedWithoutEnd: () => true,
  isOfMoment: true,
  part: 'byte',
  isWatchingWrites: (check) => check.noOtherWrite,
  needsModel: (check) => check.want.some(needsModel),
  misfits: (check) => check.want.flatMap((each) => bytesMisfits(each)),
  describe(check) {
    const parts = check.want.map(describeBytes)
    if (check.noOtherWrite) parts.push('no write anywhere else')
    else if (check.elsewhere === 'unchanged') parts.push('all other RAM unchanged')
    return parts.join('; ')
  },
  wants: (check, _profile, model) => check.want.flatMap((each) => blockOf(each, model).values),
  open: (check) => check.want.flatMap(openPlaces),
  mayBeChance(check, run, use) {
    if (check.want.some((wanted) => isWantedByChance(wanted, run, use))) return true
    const blocks = check.want.map((each) => blockOf(each, () => run.model()))
    return check.elsewhere === 'unchanged' && isUnchangedByChance(run, sparedBy(check, blocks, run), use)
  },
  evaluate(check, run) {
    const { memory: held } = run.result
    const blocks = check.want.map((each) => blockOf(each, () => run.model()))
    const text = (textOf: (each: WantedBlock) => string): string =>
      blocks.map((each) => `${showWord(each.at)}: ${textOf(each)}`).join('; ')
    const rule = check.noOtherWrite ? 'no other write' : check.elsewhere === 'unchanged' ? 'the rest unchanged' : ''
    const wanted = [text((each) => each.text), rule].filter((part) => part !== '').join('; ')
    const measured = text(({ at, length }) => bytesText(held.subarray(at, at + length)))
    const isGuarded = check.noOtherWrite || check.elsewhere === 'unchanged'
    const spared = sparedBy(check, blocks, run)
    const other = (): Verdict | null => (isGuarded ? elsewhere(run, spared, check.noOtherWrite, wanted) : null)
    const parts = (): Parts => partsOf(run, blocks, isGuarded ? other() === null : null)
    for (const block of blocks) {
      const [i] = block.wrongIn(held)
      if (i === undefined) continue
      const message = `${momentWords(run).lead} ${block.wrongText(held, i)}.`
      return { ...failed(measured, wanted, message, lastWriteTo(run, block.at + i)), parts }
    }
    const right = [measured, rule].filter((part) => part !== '').join('; ')
    return { ...(other() ?? passed(right, wanted, null, endOf(run))), parts }
  },
})

/** Each byte is a part; that all else stays as it was is one more, which a program that got no byte right does not earn. */
function partsOf(run: CaseRun, blocks: readonly WantedBlock[], isKept: boolean | null): Parts {
  const rightIn = (held: Uint8Array): number =>
    blocks.reduce((sum, each) => sum + each.counted - each.wrongIn(held).length, 0)
  const right = rightIn(run.result.memory)
  const before = rightIn(run.initial().memory)
  const of = blocks.reduce((sum, { counted }) => sum + counted, 0)
  const isEarned = isKept === true && (right > before || of === 0)
  const [start, end] = [run.initial().memory, run.result.memory]
  const outOfPlace = blocks.reduce((sum, { at, only }) => {
    const putAt = (i: number): Byte | null => {
      const value = end[at + i]
      return value === undefined || value === start[at + i] ? null : value
    }
    return only === null ? sum : sum + countOutOfPlace(only, putAt)
  }, 0)
  return { right: right + (isEarned ? 1 : 0), of: of + (isKept === null ? 0 : 1), before, outOfPlace }
}
