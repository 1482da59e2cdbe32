import { showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Fact } from './facts.ts'
import { halfOf } from './registers.ts'
import { loopsOf } from './loops-of.ts'
import type { RunView, Scene } from './scene.ts'
import { atText, edited, poked, seenAt, seenAtEnd, shown, type Edit, type Poke } from './signs.ts'
import type { Site } from './sites.ts'

const pairOf: Readonly<Record<string, string>> = { B: 'BC', C: 'BC', D: 'DE', E: 'DE', H: 'HL', L: 'HL' }

const counterReloaded: Detector = {
  id: 'counter-reloaded',
  title: 'The counter is loaded anew in every round',
  looksAt: 'a loop that never ends and loads its own counter with a number in each round',
  *signs(scene) {
    for (const view of scene.views) {
      const { kind } = view.result.end
      if (kind !== 'budget-used-up' && kind !== 'proven-loop') continue
      for (const { start, end, counter } of loopsOf(scene)) {
        const load = scene.draft.lines
          .slice(start.index, end.index)
          .find(
            ({ mnemonic, plain }) =>
              mnemonic === 'LD' &&
              isPartOf(plain[0] ?? '', counter) &&
              /^[\w$']+$/.test(plain[1] ?? '') &&
              !/^[A-EHL]$|^I[XY]$/.test(plain[1] ?? ''),
          )
        if (load === undefined || !isLastWriter(view, load, end, counter)) continue
        const telling = {
          address: load.address,
          found: `${atText(load)} is executed in every round`,
          wanted: 'loaded once, before the loop',
          message: `${atText(load)} stands inside the loop that ends at ${showWord(end.address)}: ${counter} is loaded anew in every round, so it never counts down to 0 and the loop never ends. Load it before the loop.`,
        }
        const fact = view.firstAt(load.address)
        yield { ...telling, ...(fact === null ? seenAtEnd(view) : seenAt(view, fact)), weight: 0.97 }
        return
      }
    }
  },
}

/** Whether the load is what the branch finds in its counter, round after round. */
function isLastWriter(view: RunView, load: DraftLine, end: DraftLine, counter: string): boolean {
  let writer: number | null = null
  let count = 0
  for (const fact of view.facts) {
    const isCount = fact.text.startsWith('DEC') || fact.text.startsWith('DJNZ') || fact.text.startsWith('INC')
    if (isCount && fact.pc <= end.address && fact.pc > load.address && writer === load.address) count += 1
    const halves = [...fact.use.writes, ...(fact.kind === 'firmware' ? (fact.routine?.changes ?? []) : [])]
    if (halves.some((half) => counter.includes(half))) writer = fact.pc
  }
  return count > 1
}

function isPartOf(register: string, counter: string): boolean {
  return counter !== '' && (register === counter || pairOf[counter] === register || pairOf[register] === counter)
}

const counterNotReloaded: Detector = {
  id: 'counter-not-reloaded',
  title: 'The counter is not loaded again',
  looksAt: 'a loop entered a second time with what its first time has left in its counter',
  *signs(scene) {
    for (const view of scene.views) {
      const entry = leftOverEntry(view)
      if (entry === null) continue
      const value = halfOf(entry.before, 'B')
      const loop = scene.draft.at(entry.pc)
      const inner = loopsOf(scene).find(({ end }) => end.address === entry.pc)
      const telling = {
        address: entry.pc,
        found: `B = ${showByte(value)} when the loop is entered again, so it runs 256 rounds`,
        wanted: 'B loaded again before each time',
        message: `The loop at ${showWord(entry.pc)} is entered again with B = ${showByte(value)}, what its last run has left. DJNZ counts first and tests then, so that makes 256 rounds. Load the counter again before each time.`,
      }
      const first = view.own.find(({ pc }) => pc === entry.pc)
      const count = first === undefined ? 1 : halfOf(first.before, 'B')
      if (loop !== null && inner !== undefined) {
        yield* edited(scene, [
          { ...telling, weight: 0.97, changes: { before: { [inner.start.index]: `LD B,${count}` } } },
        ])
      }
      yield { ...telling, ...seenAt(view, entry), weight: 0.88 }
      return
    }
  },
}

/** DJNZ reached from outside its loop with B = 0, last written by itself. */
function leftOverEntry(view: RunView): Fact | null {
  let writer: number | null = null
  let isInside = new Set<number>()
  for (const fact of view.facts) {
    if (fact.text.startsWith('DJNZ')) {
      if (halfOf(fact.before, 'B') === 0 && writer === fact.pc && !isInside.has(fact.pc)) return fact
      isInside = new Set(fact.after.pc === (fact.pc + 2) % 0x10000 ? [] : [fact.pc])
    }
    if (fact.use.writes.has('B') || (fact.kind === 'firmware' && fact.before.bc >> 8 !== fact.after.bc >> 8))
      writer = fact.pc
  }
  return null
}

const pointerNotReset: Detector = {
  id: 'pointer-not-reset',
  title: 'The pointer is not set back to the start',
  looksAt: 'an instruction that reads on behind the end of the data that it has read through',
  *signs(scene) {
    for (const view of scene.views) {
      const past = readPast(scene, view)
      if (past === null) continue
      const { fact, from, to, address } = past
      yield {
        ...seenAt(view, fact),
        weight: 0.925,
        found: `${fact.text} reads ${showWord(address)}, behind the last byte at ${showWord(to)}`,
        wanted: `back to ${showWord(from)} after ${showWord(to)}`,
        message: `${fact.text} at ${showWord(fact.pc)} has read ${showWord(from)} to ${showWord(to)} and goes on with ${showWord(address)} behind it. After the last byte the pointer has to be set back to the first.`,
      }
      return
    }
  },
}

interface ReadPast {
  readonly fact: Fact
  readonly from: number
  readonly to: number
  readonly address: number
}

/** A read that has gone through a whole block of given bytes, or the digit buffer, and far on behind it. */
function readPast(scene: Scene, view: RunView): ReadPast | null {
  const { layout, display } = scene.profile
  const blocks = [
    { from: layout.digitBuffer, to: layout.digitBuffer + display.digits - 1 },
    ...view.request.given.memory
      .filter(({ bytes }) => bytes.length > 2)
      .map(({ at, bytes }) => ({ from: at, to: at + bytes.length - 1 })),
  ]
  for (const { from, to } of blocks) {
    const next = new Map<number, number>()
    for (const fact of view.own) {
      const [address] = fact.reads
      if (address === undefined || !/\((HL|DE|BC|I[XY])/.test(fact.text)) continue
      const wanted = next.get(fact.pc)
      if (address === from) next.set(fact.pc, from + 1)
      else if (wanted === address) next.set(fact.pc, address + 1)
      else next.delete(fact.pc)
      // As far again as the block is long: not one round too many.
      if (wanted === address && address > to + (to - from + 1)) return { fact, from, to, address: to + 1 }
    }
  }
  return null
}

const countZero: Detector = {
  id: 'count-zero',
  title: 'A count of 0 is not tested',
  looksAt: 'a loop or a block instruction that begins with 0 in its counter',
  *signs(scene) {
    if (!scene.isFunctionWrong) return
    for (const view of scene.views) {
      const zero = zeroEntry(scene, view)
      if (zero === null) continue
      const { fact, counter, rounds } = zero
      const line = scene.draft.at(fact.pc)
      const loop = loopsOf(scene).find(({ end }) => end.address === fact.pc)
      const telling = {
        address: fact.pc,
        found: `${counter} = 0 at the start, so ${rounds} rounds`,
        wanted: 'no round at all',
        message: `${fact.text} at ${showWord(fact.pc)} begins with ${counter} = 0. It counts down first and tests then, so 0 means ${rounds} rounds. Test the count before the loop if it can be 0.`,
      }
      const place = loop?.start ?? line
      if (place !== null) {
        const test = counter === 'BC' ? 'LD A,B\nOR C' : `INC ${counter}\nDEC ${counter}`
        const end = scene.draft.lines.slice(place.index).find(({ mnemonic }) => /^(RET|HALT)$/.test(mnemonic))
        const behind = loop === undefined ? undefined : scene.draft.lines[loop.end.index + 1]
        const targets = [end, behind].flatMap((target) => (target === undefined ? [] : [target.address]))
        const edits = targets.map((target): Edit => ({
          ...telling,
          weight: 0.97,
          changes: { before: { [place.index]: `${test}\nJP Z,${target}+5` } },
        }))
        yield* edited(scene, edits)
      }
      yield { ...telling, ...seenAt(view, fact), weight: 0.94 }
      return
    }
  },
}

interface ZeroEntry {
  readonly fact: Fact
  readonly counter: string
  readonly rounds: string
}

function zeroEntry(scene: Scene, view: RunView): ZeroEntry | null {
  // A counter that the program itself loads with 0 is meant: 256 rounds.
  const constants = new Set(
    scene.sites
      .filter(({ form, value }) => /^LD (B|C|D|E|BC|DE|HL),nn?$/.test(form) && (value & 0xff) * (value >> 8) === 0)
      .map(({ address }) => address),
  )
  const writer = new Map<string, number>()
  let before: Fact | null = null
  for (const fact of view.facts) {
    const isConstant = (half: string): boolean => constants.has(writer.get(half) ?? -1)
    const isEntered = before?.pc !== fact.pc
    const isCounter = (half: string): boolean => writer.get(half) !== fact.pc && !isConstant(half)
    if (fact.text.startsWith('DJNZ') && fact.before.bc >> 8 === 0 && isCounter('B'))
      return { fact, counter: 'B', rounds: '256' }
    if (/^(LD[ID]R|CP[ID]R)$/.test(fact.text) && isEntered && fact.before.bc === 0 && isCounter('B')) {
      return { fact, counter: 'BC', rounds: '65,536' }
    }
    const [, pair = ''] = /^DEC (BC|DE|HL)$/.exec(fact.text) ?? []
    if (pair !== '' && fact.before[pair.toLowerCase() as 'bc'] === 0 && isCounter(pair[0] ?? '')) {
      return { fact, counter: pair, rounds: '65,536' }
    }
    if (fact.kind === 'own') for (const half of fact.use.writes) writer.set(half, fact.pc)
    else for (const half of fact.routine?.changes ?? []) writer.set(half, fact.pc)
    before = fact
  }
  return null
}

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

const endlessLoop: Detector = {
  id: 'endless-loop',
  title: 'A loop never ends',
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

/** Where nothing says more: a register counted past its last value. */
const limitNotTested: Detector = {
  id: 'limit-not-tested',
  title: 'A counter is not set back at its limit',
  looksAt: 'a byte counted up past its largest value, where the model answer begins again',
  *signs(scene) {
    yield* boundaryCases(scene)
    for (const view of scene.views) {
      const over = view.wrongBytes.find(
        ({ address, found, wanted }) =>
          found > wanted && wanted <= 1 && found >= 0x0a && wasCounted(view, address, found),
      )
      if (over === undefined) continue
      const writer = view.lastWriter(over.address)
      yield {
        ...(writer === null ? seenAtEnd(view) : seenAt(view, writer)),
        weight: 0.85,
        found: `${showByte(over.found)} at ${showWord(over.address)}`,
        wanted: showByte(over.wanted),
        message: `${showWord(over.address)} was counted up to ${showByte(over.found)}; there it should have gone back to ${showByte(over.wanted)}. Compare it with its limit after each step, and carry into the next place.`,
      }
      return
    }
  },
}

/** Values at the edge that the model answer turns down at once and the hand-in works on. */
function* boundaryCases(scene: Scene): Generator<Sign> {
  const failing = new Set(scene.mending.failingCases)
  if (!scene.isFunctionWrong || failing.size === 0) return
  const { stages } = scene.mending.trial
  const times = stages.map(({ instance, model }) => ({
    id: instance.id,
    model: model?.tStates ?? 0,
    own: scene.report.cases.find(({ id }) => id === instance.id)?.tStates ?? 0,
  }))
  const isEarly = ({ model, own }: { readonly model: number; readonly own: number }): boolean => model < 0.4 * own
  const wrong = times.filter(({ id }) => failing.has(id))
  const right = times.filter(({ id }) => !failing.has(id))
  const [first] = wrong
  if (
    first === undefined ||
    right.length < 2 ||
    !wrong.every(isEarly) ||
    right.filter(isEarly).length > right.length / 4
  )
    return
  yield {
    weight: 0.8,
    caseId: first.id,
    address: null,
    found: `${first.own} T-states of work on values that should be turned down`,
    wanted: 'a test before the work begins',
    message:
      'Usual values come out right; those at the edge of what is allowed do not, because nothing looks at them before the work begins. Compare with the smallest and the largest value that is allowed.',
  }
}

/** Whether a byte was one less before its last write. */
function wasCounted(view: RunView, address: number, found: number): boolean {
  const writer = view.lastWriter(address)
  const before = writer?.writes.find((write) => write.address === address)?.before ?? -1
  return before === found - 1 || before + 6 === found - 1
}

export const loops: readonly Detector[] = [
  counterReloaded,
  counterNotReloaded,
  pointerNotReset,
  countZero,
  countOffByOne,
  countedFromOne,
  limitNotTested,
  endlessLoop,
]
