import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Fact } from './facts.ts'
import { atText, seenAt, seenAtEnd } from './signs.ts'

/** A loop that is never left. */
export const endlessLoop: Detector = {
  id: 'endless-loop',
  title: 'A loop never ends',
  isConsequence: true,
  looksAt:
    'a run that came back to the very same state, or used up its time in one loop, and the branch that should have left it',
  *signs(scene) {
    for (const view of scene.views) {
      const { end } = view.result
      const loop = end.kind === 'proven-loop' || end.kind === 'budget-used-up' ? end.loop : null
      if (loop === null) continue
      const range = `${showWord(loop.from)} to ${showWord(loop.to)}`
      const inside = view.own.filter(({ pc }) => pc >= loop.from && pc <= loop.to)
      const exits = scene.draft.lines.filter(
        ({ address, mnemonic, plain }) =>
          address >= loop.from &&
          address <= loop.to &&
          (mnemonic === 'DJNZ' || /^(JR|JP|RET)$/.test(mnemonic)) &&
          (mnemonic === 'DJNZ' || plain.length > 0),
      )
      const exit = exits.findLast(
        ({ mnemonic, plain }) => mnemonic === 'DJNZ' || /^(N?Z|N?C|P|M|PO|PE)$/.test(plain[0] ?? ''),
      )
      const visits = inside.filter(({ pc }) => pc === exit?.address)
      const last = visits.at(-1)
      yield {
        ...(last === undefined ? seenAtEnd(view) : seenAt(view, last)),
        weight: end.kind === 'proven-loop' ? 0.66 : 0.6,
        found: `the loop from ${range} runs ${end.kind === 'proven-loop' ? 'for ever: its whole state comes back' : 'until the time is used up'}`,
        wanted: 'an end',
        message: `The program stays in the loop from ${range}. ${whyNoExit(exit, visits)}`,
      }
      return
    }
  },
}

/** What keeps the branch that should leave a loop from leaving it. */
function whyNoExit(exit: DraftLine | undefined, visits: readonly Fact[]): string {
  if (exit === undefined) return 'There is no branch in it that could leave it.'
  const bits = visits.map(({ before }) => (exit.mnemonic === 'DJNZ' ? before.bc >> 8 : before.af & 0xff))
  const isStill = bits.length > 1 && bits.every((value) => value === bits[0])
  if (exit.mnemonic === 'DJNZ')
    return isStill ? `${atText(exit)} always finds the same B.` : `${atText(exit)} never finds B = 1.`
  return `${atText(exit)} ${isStill ? 'finds the same flags every time' : 'never finds the condition that leads out'}: look at what sets the flags before it.`
}
