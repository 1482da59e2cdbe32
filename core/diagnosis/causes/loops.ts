import { showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Fact } from './facts.ts'
import { halfOf } from './registers.ts'
import { loopsOf, type Loop } from './loops-of.ts'
import type { UsedRegister } from '../../cpu/index.ts'
import type { RunView, Scene } from './scene.ts'
import { atText, edited, idsOf, poked, seenAt, seenAtEnd, shown, type Edit, type Poke } from './signs.ts'
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
  looksAt: 'a loop entered a second time with the 0 that its first time has left in its counter',
  *signs(scene) {
    for (const view of scene.views) {
      for (const loop of loopsOf(scene)) {
        const entry = leftOverEntry(view, loop)
        if (entry === null) continue
        const { counter, start, end } = loop
        const load = scene.sites.find(({ form }) => form === `LD ${counter},n`)
        const telling = {
          address: end.address,
          found: `${counter} = 0 when the loop is entered again, so it runs 256 rounds`,
          wanted: `${counter} loaded again before each time`,
          message: `The loop that ends at ${showWord(end.address)} is entered again with ${counter} = 0, which its last run has left. It counts first and tests then, so that makes 256 rounds. Load the counter again before each time.`,
        }
        const count = load?.value ?? 1
        yield* edited(scene, [
          { ...telling, weight: 0.975, changes: { before: { [start.index]: `LD ${counter},${count}` } } },
        ])
        yield { ...telling, ...seenAt(view, entry), weight: 0.935 }
        return
      }
    }
  },
}

/** The first instruction of a loop reached from outside with 0 in its counter, last written by its own count. */
function leftOverEntry(view: RunView, { start, end, counter }: Loop): Fact | null {
  const half = counter as UsedRegister
  if (!/^[BCDEHL]$/.test(counter)) return null
  let writer: number | null = null
  let before: Fact | null = null
  for (const fact of view.facts) {
    const isInside = before !== null && before.pc >= start.address && before.pc <= end.address
    const isOwnCount = writer !== null && writer >= start.address && writer <= end.address
    if (fact.pc === start.address && fact.kind === 'own' && !isInside && isOwnCount && halfOf(fact.before, half) === 0)
      return fact
    if (fact.use.writes.has(half)) writer = fact.pc
    else if (fact.kind === 'firmware' && halfOf(fact.before, half) !== halfOf(fact.after, half)) writer = null
    if (fact.kind === 'own') before = fact
  }
  return null
}

const pointerNotReset: Detector = {
  id: 'pointer-not-reset',
  title: 'The pointer is not set back to the start',
  looksAt: 'an instruction that reads on behind the end of the data that it has read through',
  *signs(scene) {
    for (const view of scene.views) {
      const past = readPast(scene, view) ?? readUnset(scene, view)
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
  const blocks = givenBlocks(scene, view)
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

/** A read of RAM that holds nothing of the task, right behind a block that the same instruction has read from. */
function readUnset(scene: Scene, view: RunView): ReadPast | null {
  const { layout } = scene.profile
  const written = new Set<number>()
  const last = new Map<number, number>()
  const blocks = givenBlocks(scene, view)
  for (const fact of view.own) {
    const [address] = fact.reads
    if (address !== undefined && /\((HL|DE|BC|I[XY])/.test(fact.text) && !written.has(address)) {
      const block = blocks.find(({ from, to }) => address >= from && address <= to)
      const before = blocks.find(({ to }) => address > to && address <= to + 8)
      const isRam = address >= layout.program && address < layout.stackTop - 64 && !scene.isInside(address)
      const came = last.get(fact.pc)
      if (block === undefined && before !== undefined && isRam && came === before.to)
        return { fact, ...before, address }
      last.set(fact.pc, address)
    }
    for (const write of fact.writes) written.add(write.address)
  }
  return null
}

function givenBlocks({ profile }: Scene, view: RunView): readonly { readonly from: number; readonly to: number }[] {
  const { layout, display } = profile
  return [
    { from: layout.digitBuffer, to: layout.digitBuffer + display.digits - 1 },
    ...view.request.given.memory
      .filter(({ bytes }) => bytes.length > 2)
      .map(({ at, bytes }) => ({ from: at, to: at + bytes.length - 1 })),
  ]
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
  const loops = loopsOf(scene)
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
    const isLoop = loops.some(
      ({ counter, start, end }) => counter === pair && fact.pc >= start.address && fact.pc < end.address,
    )
    if (pair !== '' && isLoop && fact.before[pair.toLowerCase() as 'bc'] === 0 && isCounter(pair[0] ?? '')) {
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
    yield* pastBorder(scene)
    yield* missingComparison(scene)
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

/** A store that goes outside in some cases only. */
function* pastBorder(scene: Scene): Generator<Sign> {
  const failed = scene.failed.filter(
    ({ check }) =>
      check.kind === 'writes-own-code' ||
      (check.kind === 'memory' && ('elsewhere' in check || 'noOtherWrite' in check)),
  )
  const [first] = failed.filter(({ check }) => scene.mending.isFailingInSome(check.id))
  if (first === undefined) return
  const at = first.result.decidedAt
  yield {
    ...(at === null ? { address: null } : { caseId: at.caseId, step: at.step, t: at.t, address: at.address }),
    weight: 0.75,
    checkIds: idsOf([first, ...failed.filter((each) => each !== first)]),
    found: first.result.measured ?? 'a store outside',
    wanted: 'a test of the place before the store',
    message: `${first.result.message} In other cases the stores stay where they belong: what is missing is a test of the place, at both ends, before the store.`,
  }
}

/** The model answer compares with a limit and the hand-in does not. */
function* missingComparison(scene: Scene): Generator<Sign> {
  const limits = (lines: readonly DraftLine[]): readonly string[] =>
    lines.filter(({ mnemonic }) => mnemonic === 'CP').map(({ plain }) => plain[0] ?? '')
  const wanted = limits(scene.modelLines)
  const own = limits(scene.draft.lines)
  if (
    !scene.isFunctionWrong ||
    wanted.length <= own.length ||
    !wanted.some((limit) => !own.includes(limit) && /\d/.test(limit))
  )
    return
  yield {
    weight: 0.64,
    address: null,
    found: `${own.length === 0 ? 'no comparison' : `comparisons with ${own.join(', ')} only`}`,
    wanted: 'a comparison with the limit too',
    message:
      'Nothing compares with one of the limits of the task. Try the largest value that is allowed and the one behind it.',
  }
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
  const isEarly = ({ model, own }: { readonly model: number; readonly own: number }): boolean => model < 0.6 * own
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
