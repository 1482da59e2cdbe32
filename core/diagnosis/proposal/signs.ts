import type { BoardProfile, DigitSpan } from '../../board/index.ts'
import type { TState } from '../../cpu/index.ts'

/** What stood on all digits together for a while. */
export interface SeenSign {
  readonly from: TState
  readonly to: TState
  /** One glyph for each digit from the left; `?` for a pattern without a name. */
  readonly text: string
  readonly isSteady: boolean
}

/** What stands for less than this among other signs is the change from one to the next. */
const shortest = 0.03

/** The signs that an eye saw one after the other; a dark display is none. */
export function signsSeen(spans: readonly DigitSpan[], { display, clockHz }: BoardProfile): readonly SeenSign[] {
  const cuts = [...new Set(spans.flatMap(({ from, to }) => [from, to]))].sort((a, b) => a - b)
  const byDigit = Array.from({ length: display.digits }, (_, digit) => spans.filter((span) => span.digit === digit))
  const places = byDigit.map(() => 0)
  const all = cuts.slice(0, -1).map((from, i): SeenSign => {
    const now = byDigit.map((own, digit) => {
      let place = places[digit] ?? 0
      while (own[place] !== undefined && (own[place]?.to ?? 0) <= from) place += 1
      places[digit] = place
      return own[place]
    })
    return {
      from,
      to: cuts[i + 1] ?? from,
      text: now.map((span) => (span === undefined || span.segments === 0 ? ' ' : span.glyph)).join(''),
      isSteady: now.every((span) => span === undefined || span.state === 'steady' || span.state === 'dark'),
    }
  })
  const lit = joined(all).filter(({ text }) => text.trim() !== '')
  const long = lit.filter(({ from, to }) => to - from >= shortest * clockHz)
  return joined(long.length > 0 ? long : lit)
}

function joined(signs: readonly SeenSign[]): readonly SeenSign[] {
  const result: SeenSign[] = []
  for (const sign of signs) {
    const last = result.at(-1)
    if (last?.text === sign.text) {
      result[result.length - 1] = { ...last, to: sign.to, isSteady: last.isSteady && sign.isSteady }
    } else result.push(sign)
  }
  return result
}
