import type { Image } from '../../image/index.ts'
import { bytes, choice, list, object, optional, required, word, type Read } from '../schema/index.ts'
import { byteDigits, showByte, showWord } from '../../image/index.ts'
import { bytesText } from '../words.ts'
import { checkKind, failed, passed, withParts, type Parts } from './check.ts'
import { countOutOfPlace } from './out-of-place.ts'

const block = object('sheet-bytes', 'Bytes of a sheet.', {
  at: required(word, 'Address of the first byte.'),
  bytes: required(bytes(1, 4096), 'The bytes.'),
})

function imageText(image: Image): string {
  return image.segments.map(({ start, bytes: held }) => `${showWord(start)}: ${bytesText(held)}`).join('; ')
}

/** What was loaded where bytes are wanted; `--` where nothing was. */
function loadedText(want: readonly Read<typeof block>[], loaded: ReadonlyMap<number, number>): string {
  const byteAt = (address: number): string => {
    const value = loaded.get(address)
    return value === undefined ? '--' : byteDigits(value)
  }
  return want
    .map(({ at, bytes: held }) => `${showWord(at)}: ${held.map((_, i) => byteAt(at + i)).join(' ')}`)
    .join('; ')
}

/** Every loaded byte by its address. */
function byAddress(
  blocks: Iterable<{ readonly start: number; readonly bytes: Iterable<number> }>,
): Map<number, number> {
  const map = new Map<number, number>()
  for (const { start, bytes: held } of blocks) {
    let address = start
    for (const value of held) map.set(address++, value)
  }
  return map
}

export const programBytes = checkKind({
  name: 'program-bytes',
  category: 'the bytes handed in',
  about: 'The bytes handed in are those of a sheet, no more and no fewer.',
  example: ['want: [{ at: 4000h, bytes: 3E 05 06 03 80 10 FD 76 }]'],
  fields: {
    want: required(list(block, 1, 64), 'The bytes of the sheet.'),
    rest: optional(choice(['none', 'free']), 'Whether other bytes may be handed in beside them.', 'none' as const),
  },
  needsEnd: false,
  needsRun: false,
  part: 'byte',
  describe: (check) => check.want.map((each) => `${showWord(each.at)}: ${bytesText(each.bytes)}`).join('; '),
  evaluate(check, run) {
    const wanted = check.want.map((each) => `${showWord(each.at)}: ${bytesText(each.bytes)}`).join('; ')
    const sheet = byAddress(check.want.map((each) => ({ start: each.at, bytes: each.bytes })))
    const loaded = byAddress(run.program.image.segments)
    const measured = check.rest === 'none' ? imageText(run.program.image) : loadedText(check.want, loaded)
    const addresses = [...new Set([...sheet.keys(), ...loaded.keys()])].sort((a, b) => a - b)
    const isWrong = (address: number): boolean =>
      sheet.get(address) !== loaded.get(address) && (check.rest === 'none' || sheet.has(address))
    const wrong = addresses.find(isWrong)
    // A byte where the sheet has none is a wrong one more.
    const asksFor = check.rest === 'none' ? addresses : addresses.filter((address) => sheet.has(address))
    const right = asksFor.filter((address) => !isWrong(address)).length
    if (wrong === undefined) {
      const at = { t: 0, address: run.program.entry, step: 0 }
      return withParts(passed(measured, wanted, null, at), right, asksFor.length)
    }
    const found = loaded.get(wrong)
    const asked = sheet.get(wrong)
    const message =
      found === undefined
        ? `Nothing was loaded at ${showWord(wrong)}; the sheet has ${showByte(asked ?? 0)} there.`
        : asked === undefined
          ? `${showByte(found)} was loaded at ${showWord(wrong)}, where the sheet has nothing.`
          : `${showWord(wrong)} holds ${showByte(found)}; the sheet has ${showByte(asked)}.`
    const more = (): Partial<Parts> => ({
      outOfPlace: check.want.reduce(
        // A byte or two of a sheet are not the sheet with its bytes out of place.
        (sum, { at, bytes: sheetBytes }) =>
          2 * loaded.size < sheetBytes.length
            ? sum
            : sum + countOutOfPlace(sheetBytes, (i) => loaded.get(at + i) ?? null),
        0,
      ),
    })
    return withParts(failed(measured, wanted, message, { t: 0, address: wrong, step: 0 }), right, asksFor.length, more)
  },
})
