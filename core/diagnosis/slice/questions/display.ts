import { isDisplayDark, measureDisplay, segmentsOf } from '../../../board/index.ts'
import type { TState } from '../../../cpu/index.ts'
import { signsSeen, type SeenSign } from '../../proposal/signs.ts'
import { lastPortWrite } from '../port-write.ts'
import { port, theEnd, theTime, timeOf, type Answer, type Asked, type Question } from './asked.ts'

/** What the digits showed: the pattern that was wrong, the one missing, where the time went, or what was left lit. */
export function digitQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, outcome } = asked
  const { segmentPort, isSegmentActiveHigh } = profile.display
  const { steps, tStates } = recording.result
  const pattern = { step: steps, target: port(segmentPort) }
  if (lastPortWrite(recording, segmentPort, tStates + 1) === null) return [pattern, ...theEnd(asked)]
  if (fields['darkAtEnd'] === true && !isDisplayDark(recording.events, profile, tStates)) {
    return [pattern, ...theEnd(asked)]
  }
  const from = timeOf(fields['from'], profile.clockHz) ?? 0
  const to = timeOf(fields['to'], profile.clockHz) ?? tStates
  if (outcome === 'out-of-tolerance') {
    const most = fields['maxGhost'] as number | null
    const ghosts = measureDisplay(recording.events, profile, from, to).digits.map(({ ghost }) => ghost * 100)
    const isGhosted = most !== null && ghosts.some((ghost) => ghost > most)
    return isGhosted ? [pattern, ...theTime(asked)] : [...theTime(asked), pattern]
  }
  const glyphs = Array.from(fields['glyphs'] as string, (glyph) => segmentsOf(glyph) ?? 0)
  const spans = recording.digits.filter((span) => span.digit < glyphs.length && span.to > from && span.from < to)
  const wrong = spans
    .filter(({ digit, segments }) => segments !== 0 && segments !== glyphs[digit])
    .toSorted((a, b) => a.from - b.from)[0]
  if (wrong !== undefined) {
    const dark = isSegmentActiveHigh ? 0 : 0xff
    const shown = lastPortWrite(recording, segmentPort, Math.max(wrong.from, from) + 1, dark)
    const at = shown === null ? steps : recording.stepAt(shown.t) + 1
    return [{ step: at, target: port(segmentPort) }, ...theTime(asked), ...theEnd(asked)]
  }
  const missing = glyphs.findIndex(
    (segments, digit) => segments !== 0 && !spans.some((span) => span.digit === digit && span.segments === segments),
  )
  if (missing < 0) return [...theTime(asked), pattern, ...theEnd(asked)]
  const address = profile.layout.digitBuffer + missing
  const at = recording.stepAt(Math.max(from, Math.min(to, tStates) - 1))
  return [{ step: at, target: { kind: 'memory', address } }, pattern, ...theEnd(asked)]
}

/** The pattern that stood on the digits when the check was decided. */
export function signQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, step, outcome } = asked
  const { segmentPort, isSegmentActiveHigh } = profile.display
  const isTimed =
    outcome === 'out-of-tolerance' || ['each', 'minRefresh'].some((field) => (fields[field] ?? null) !== null)
  const shown = lastPortWrite(recording, segmentPort, recording.at(step).t, isSegmentActiveHigh ? 0 : 0xff)
  if (shown === null) return [{ step: recording.result.steps, target: port(segmentPort) }, ...theEnd(asked)]
  const wrong = wrongDigit(asked, signsAt(asked))
  const pattern: Question =
    wrong === null || !isFromBuffer(asked, wrong.digit, wrong.t)
      ? { step: recording.stepAt(shown.t) + 1, target: port(segmentPort) }
      : bufferByte(asked, wrong.digit, wrong.t)
  return isTimed ? [...theTime(asked), pattern] : [pattern, ...theTime(asked), ...theEnd(asked)]
}

/** What stood on the digits so long after a key as is allowed; where they were dark, where the time since the key went. */
export function keyQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, request } = asked
  const within = timeOf(fields['within'], profile.clockHz) ?? 0
  const presses = request.given.keys.filter(({ isIdle }) => isIdle !== true)
  const keys = presses.map(({ from }) => from).sort((a, b) => a - b)
  const signs = signsAt(asked)
  const moments = keys.map((key) => signs.find(({ to }) => to > key + within))
  const wrong = wrongDigit(asked, moments)
  if (wrong === null) return signQuestions(asked)
  const pressed = keys[wrong.sign] ?? 0
  const t = Math.min(pressed + within, recording.result.tStates)
  const isDark = (moments[wrong.sign]?.from ?? 0) > t
  const time: Question = { step: recording.stepAt(t), target: { kind: 'time', from: recording.stepAt(pressed) } }
  if (!isFromBuffer(asked, wrong.digit, t)) return [time, ...signQuestions(asked)]
  const pattern = bufferByte(asked, wrong.digit, t)
  return isDark ? [time, pattern] : [pattern, time, ...theEnd(asked)]
}

/** The byte of the digit buffer behind a digit, as it was at T-state `t`. */
function bufferByte({ profile, recording }: Asked, digit: number, t: TState): Question {
  return { step: recording.stepAt(t), target: { kind: 'memory', address: profile.layout.digitBuffer + digit } }
}

/** Whether the digits show what stands in the buffer: the program wrote there, or leaves the sweep to the firmware. */
function isFromBuffer({ profile, recording }: Asked, digit: number, t: TState): boolean {
  const address = profile.layout.digitBuffer + digit
  if (recording.find(recording.stepAt(t), 'back', { kind: 'memory-write', address }) !== null) return true
  const { display, memory } = profile
  const shown = lastPortWrite(recording, display.segmentPort, t, display.isSegmentActiveHigh ? 0 : 0xff)
  return shown !== null && memory.some(({ kind, from, to }) => kind === 'rom' && shown.pc >= from && shown.pc <= to)
}

/** The signs seen on the digits that the check looks at. */
function signsAt({ fields, recording, profile }: Asked): readonly SeenSign[] {
  const first = firstDigit(fields)
  const length = Math.max(0, ...(fields['signs'] as readonly string[]).map((sign) => [...sign].length))
  const own = recording.digits.filter(({ digit }) => digit >= first && digit < first + length)
  const from = timeOf(fields['from'], profile.clockHz) ?? 0
  return signsSeen(own, profile).filter((sign) => sign.to > from)
}

/** From 0 at the left. */
function firstDigit(fields: Asked['fields']): number {
  return ((fields['digit'] as number | undefined) ?? 1) - 1
}

/** The first digit that was seen with another glyph than it should have had, in which sign, and when; null for none. */
function wrongDigit(
  { fields }: Asked,
  seen: readonly (SeenSign | undefined)[],
): { readonly digit: number; readonly sign: number; readonly t: TState } | null {
  const first = firstDigit(fields)
  const patterns = (text: string): readonly number[] => Array.from(text, (glyph) => segmentsOf(glyph) ?? 0)
  for (const [sign, text] of (fields['signs'] as readonly string[]).entries()) {
    const found = seen[sign]
    if (found === undefined) return null
    if (text === '*') continue
    const glyphs = patterns(found.text.slice(first))
    const place = patterns(text).findIndex((segments, k) => segments !== glyphs[k])
    if (place >= 0) return { digit: first + place, sign, t: (found.from + found.to) / 2 }
  }
  return null
}
