import type { Image } from '../../image/index.ts'
import { bytes, list, object, required, word } from '../schema/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import { bytesText } from '../words.ts'
import { checkKind, failed, passed } from './check.ts'

const block = object('sheet-bytes', 'Bytes of a sheet.', {
  at: required(word, 'Address of the first byte.'),
  bytes: required(bytes(1, 4096), 'The bytes.'),
})

function imageText(image: Image): string {
  return image.segments.map(({ start, bytes: held }) => `${showWord(start)}: ${bytesText(held)}`).join('; ')
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
  fields: { want: required(list(block, 1, 64), 'The bytes of the sheet.') },
  needsEnd: false,
  describe: (check) => check.want.map((each) => `${showWord(each.at)}: ${bytesText(each.bytes)}`).join('; '),
  evaluate(check, run) {
    const wanted = check.want.map((each) => `${showWord(each.at)}: ${bytesText(each.bytes)}`).join('; ')
    const measured = imageText(run.program.image)
    const sheet = byAddress(check.want.map((each) => ({ start: each.at, bytes: each.bytes })))
    const loaded = byAddress(run.program.image.segments)
    const addresses = [...new Set([...sheet.keys(), ...loaded.keys()])].sort((a, b) => a - b)
    const wrong = addresses.find((address) => sheet.get(address) !== loaded.get(address))
    if (wrong === undefined) return passed(measured, wanted, null, { t: 0, address: run.program.entry, step: 0 })
    const found = loaded.get(wrong)
    const asked = sheet.get(wrong)
    const message =
      found === undefined
        ? `Nothing was loaded at ${showWord(wrong)}; the sheet has ${showByte(asked ?? 0)} there.`
        : asked === undefined
          ? `${showByte(found)} was loaded at ${showWord(wrong)}, where the sheet has nothing.`
          : `${showWord(wrong)} holds ${showByte(found)}; the sheet has ${showByte(asked)}.`
    return failed(measured, wanted, message, { t: 0, address: wrong, step: 0 })
  },
})
