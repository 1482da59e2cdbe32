import { showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import { loopsOf } from './loops-of.ts'
import { pairOf } from './register-halves.ts'
import type { Scene } from './scene.ts'
import { edited, poked, seenAt, seenAtEnd, shown, type Edit, type Poke } from './signs.ts'
import type { Site } from './sites.ts'

/** Whether an instruction loads what a loop counts. */
export function isCount(scene: Scene, site: Site): boolean {
  const [, register = ''] = /^LD (\w+),nn?$/.exec(site.form) ?? []
  const { lines } = scene.draft
  const has = (mnemonic: RegExp, operand: RegExp): boolean =>
    lines.some((line) => mnemonic.test(line.mnemonic) && operand.test(line.plain[0] ?? ''))
  const counts = loopsOf(scene).map(({ counter }) => counter)
  if (site.form === 'LD (HL),n') return has(/^DEC$/, /^\(HL\)$/)
  if (register === '') return false
  if (register === 'BC') return has(/^(LD[ID]R?|CP[ID]R?|DJNZ)$/, /^/) || has(/^(DEC|INC)$/, /^(BC|B|C)$/)
  if (/^(DE|HL|IX|IY)$/.test(register))
    return counts.includes(register) || counts.some((each) => pairOf[each] === register)
  if (register === 'B' && has(/^DJNZ$/, /^/)) return true
  return (
    counts.includes(register) || counts.includes(pairOf[register] ?? '-') || has(/^DEC$/, new RegExp(`^${register}$`))
  )
}

const countOffByOne: Detector = {
  id: 'count-off-by-one',
  title: 'One round too many or too few',
  looksAt: 'counts that pass when they are one more or less',
  *signs(scene) {
    yield* edited(scene, writtenOut(scene))
    const counts = scene.sites.filter((site) => isCount(scene, site))
    // One direction after the other: a count that is loaded at two places is wrong at both.
    for (const step of [1, -1, 0x100, -0x100]) {
      yield* poked(
        scene,
        counts
          .filter((site) => Math.abs(step) === 1 || hasHighCount(scene, site))
          .map((site) => countPoke(site, site.value + step, site.operand === 'nn', 0.945)),
      )
    }
    const limits = scene.sites.filter(
      ({ form }, i) => form === 'CP n' && /^(JR|JP|RET) N?Z/.test(scene.sites[i + 1]?.form ?? ''),
    )
    yield* poked(
      scene,
      limits.flatMap((site) => [1, -1].map((difference) => countPoke(site, site.value + difference, false, 0.93))),
    )
    yield* oneApart(scene)
    const edits = loopsOf(scene).flatMap(({ start, end, counter }): readonly Edit[] =>
      counter === ''
        ? []
        : ['INC', 'DEC'].map((mnemonic) => ({
            weight: 0.91,
            address: end.address,
            changes: { before: { [start.index]: `${mnemonic} ${counter}` } },
            found: `the loop that ends at ${showWord(end.address)} runs one round too ${mnemonic === 'INC' ? 'few' : 'many'}`,
            wanted: `one round ${mnemonic === 'INC' ? 'more' : 'less'}`,
            message: `The loop that ends at ${showWord(end.address)} runs one round too ${mnemonic === 'INC' ? 'few' : 'many'}. Follow its counter ${counter} through the first and the last round.`,
          })),
    )
    yield* edited(scene, edits)
  },
}

/** The same instruction written several times in a row: once more, or once less. */
function writtenOut({ draft }: Scene): readonly Edit[] {
  const { lines } = draft
  return lines.flatMap((line, i): readonly Edit[] => {
    const isFirst = lines[i + 1]?.text === line.text && lines[i - 1]?.text !== line.text
    if (!isFirst || line.mnemonic === 'NOP') return []
    const run = lines.slice(i).findIndex(({ text }) => text !== line.text)
    const telling = {
      weight: 0.94,
      address: line.address,
      found: `${line.text} ${run} times in a row`,
      message: `From ${showWord(line.address)} on ${line.text} stands ${run} times. Count how often it is needed: each doubling is one bit, and sixteen times as much are four.`,
    }
    return [
      { ...telling, wanted: 'once more', changes: { before: { [i]: line.text } } },
      { ...telling, wanted: 'once less', changes: { instead: { [i]: '' } } },
    ]
  })
}

/** Two numbers for the same count that differ by one. */
function* oneApart(scene: Scene): Generator<Sign> {
  const sites = scene.sites.filter((site) => site.form === 'CP n' || isCount(scene, site))
  for (const site of sites) {
    const other = sites.find(({ form, value }) => form === site.form && value - site.value === 1)
    if (other === undefined || site.value < 2) continue
    yield {
      weight: 0.76,
      address: site.address,
      found: `${site.text} at ${showWord(site.address)} and ${other.text} at ${showWord(other.address)}`,
      wanted: 'the same number at both',
      message: `${site.text} at ${showWord(site.address)} and ${other.text} at ${showWord(other.address)} differ by one. If both mean the same count, one of them is wrong.`,
    }
    return
  }
}

/** A pair whose halves are counted by themselves. */
function hasHighCount({ draft }: Scene, { form }: Site): boolean {
  return (
    /^LD BC,nn/.test(form) &&
    draft.lines.some(({ mnemonic, plain }) => mnemonic === 'DJNZ' || /^[BC]$/.test(plain[0] ?? ''))
  )
}

function countPoke(site: Site, wanted: number, isWord: boolean, weight: number): Poke {
  const found = shown(site.value, isWord)
  const isMore = wanted > site.value
  return {
    weight,
    address: site.address,
    bytes: isWord ? { [site.at]: wanted & 0xff, [site.at + 1]: (wanted >> 8) & 0xff } : { [site.at]: wanted & 0xff },
    found,
    wanted: `one ${isMore ? 'more' : 'less'}`,
    message: `${site.text} at ${showWord(site.address)} counts one too ${isMore ? 'few' : 'many'}. Count the rounds with the first and the last one: how often does the loop run?`,
  }
}

const countedFromOne: Detector = {
  id: 'counted-from-one',
  title: 'Counted from 1 instead of 0',
  looksAt: 'results that are one more than wanted in every failing case',
  *signs(scene) {
    const views = scene.views.filter(({ wrongBytes }) => wrongBytes.length > 0)
    const [first] = views
    const place = first?.wrongBytes[0]
    if (first === undefined || place === undefined || views.length < 2) return
    const isOneMore = views.every(
      ({ wrongBytes: [byte, more] }) =>
        more === undefined && byte?.address === place.address && byte.found === ((byte.wanted + 1) & 0xff),
    )
    const values = new Set(views.map(({ wrongBytes: [byte] }) => byte?.wanted))
    if (!isOneMore || values.size < 2) return
    const writer = first.lastWriter(place.address)
    yield {
      ...(writer === null ? seenAtEnd(first) : seenAt(first, writer)),
      weight: 0.935,
      found: `${showByte(place.found)} at ${showWord(place.address)}`,
      wanted: showByte(place.wanted),
      message: `What is stored at ${showWord(place.address)} is one more than wanted each time (here ${showByte(place.found)} for ${showByte(place.wanted)}): it was counted from 1, and the task counts from 0.`,
    }
  },
}

/** Counts that are one off. */
export const counts: readonly Detector[] = [countOffByOne, countedFromOne]
