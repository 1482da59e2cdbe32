import { segmentsOf, type BoardProfile } from '../../board/index.ts'
import type { Byte } from '../../cpu/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import { endOf, lastWriteTo } from '../case-run.ts'
import { bytes, optional, text } from '../schema/index.ts'
import { bytesText } from '../words.ts'
import { wantedByte } from './wanted-block.ts'
import { checkKind, failed, orOfCase, passed, withParts, type Parts } from './check.ts'
import { glyphText } from './glyph-text.ts'
import { countOutOfPlace } from './out-of-place.ts'

interface Wanted {
  readonly glyphs: string | null
  readonly bytes: readonly Byte[] | null
}

function wantedBytes(check: Wanted): readonly (Byte | null)[] {
  return check.bytes ?? Array.from(check.glyphs ?? '', segmentsOf)
}

/** What is wrong with glyphs on a board: those without a form, and too many. */
export function glyphMisfits(glyphs: string, profile: BoardProfile): readonly string[] {
  const unknown = [...new Set(glyphs)].filter((glyph) => segmentsOf(glyph) === null)
  const misfits = unknown.map((glyph) => `seven segments have no form for '${glyph}'`)
  const count = [...glyphs].length
  if (count > profile.display.digits) misfits.push(`found ${count} glyphs, allowed at most ${profile.display.digits}`)
  return misfits
}

export const digitBuffer = checkKind({
  name: 'digit-buffer',
  category: 'the digit buffer',
  about: 'The digit buffer in memory holds given glyphs at the end, from the leftmost digit on.',
  example: ['glyphs: DEPOT 37'],
  fields: {
    glyphs: optional(orOfCase(text(1, 16)), 'The glyphs, one for each digit.', null, 'give `bytes` instead'),
    bytes: optional(orOfCase(bytes(1, 16)), 'Or the segments of each digit, bit 0 = a to bit 7 = point.', null),
  },
  needsEnd: true,
  isCreditedWithoutEnd: () => true,
  isOfMoment: true,
  part: 'digit',
  misfits: (check, profile) =>
    (check.glyphs === null) === (check.bytes === null)
      ? ['needs either glyphs or bytes']
      : glyphMisfits(check.glyphs ?? '', profile),
  describe: (check) =>
    check.bytes === null
      ? `'${check.glyphs ?? ''}' in the digit buffer`
      : `${bytesText(check.bytes)} in the digit buffer`,
  wants: (check, { layout }) => wantedBytes(check).map((value, i) => wantedByte(layout.digitBuffer + i, value ?? 0)),
  mayBeChance: (check, { profile }, use) =>
    wantedBytes(check).some((_, i) => use.isByteUndefined(profile.layout.digitBuffer + i)),
  evaluate(check, run) {
    const at = run.profile.layout.digitBuffer
    const wantedList = wantedBytes(check).map((value) => value ?? 0)
    const held = run.result.memory.subarray(at, at + wantedList.length)
    const measured = `${bytesText(held)} = '${glyphText(held)}'`
    const wanted = `${bytesText(wantedList)} = '${glyphText(wantedList)}'`
    const wrong = wantedList.findIndex((value, i) => held[i] !== value)
    const right = wantedList.filter((value, i) => held[i] === value).length
    const more = (): Partial<Parts> => {
      const start = run.initial().memory
      const putAt = (i: number): Byte | null => {
        const value = run.result.memory[at + i] ?? null
        return value === start[at + i] ? null : value
      }
      const before = wantedList.filter((value, i) => start[at + i] === value).length
      return { before, outOfPlace: countOutOfPlace(wantedList, putAt) }
    }
    if (wrong < 0) return withParts(passed(measured, wanted, null, endOf(run)), right, wantedList.length, more)
    const message = `Digit ${wrong + 1} (${showWord(at + wrong)}) holds ${showByte(held[wrong] ?? 0)}; wanted ${showByte(wantedList[wrong] ?? 0)}.`
    return withParts(failed(measured, wanted, message, lastWriteTo(run, at + wrong)), right, wantedList.length, more)
  },
})
