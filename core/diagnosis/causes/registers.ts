import type { UsedRegister } from '../../cpu/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { Fact } from './facts.ts'
import { givenHalves } from './given-registers.ts'
import { handlerVisits } from './handler-visits.ts'
import { loopsOf } from './loops-of.ts'
import { halfOf, pairOf } from './register-halves.ts'
import type { RunView, Scene } from './scene.ts'
import { atText, edited, idsOf, seenAt, seenAtEnd, type Edit } from './signs.ts'

const zeroTestSpoilsA: Detector = {
  id: 'zero-test-spoils-a',
  title: 'Testing a pair for 0 overwrites A',
  looksAt: 'LD A,r / OR r of a pair, where A is read behind the branch and nothing else has set it since',
  *signs(scene) {
    const { lines } = scene.draft
    for (const [i, load] of lines.entries()) {
      const test = lines[i + 1]
      const pair = pairOf[load.plain[1] ?? '']
      const isTest =
        load.mnemonic === 'LD' &&
        load.plain[0] === 'A' &&
        test?.mnemonic === 'OR' &&
        pairOf[test.plain[0] ?? ''] === pair
      if (!isTest || pair === undefined) continue
      const telling = {
        address: load.address,
        found: `A holds what ${atText(test)} left`,
        wanted: 'A as it was before the test',
        message: `The test of ${pair} for 0 (${load.text}, ${test.text}) goes through A and overwrites what the program still needs in A.`,
      }
      const reader = readerOf(scene.main, test.address)
      // Where nothing reads A afterwards the edit would only take time.
      if (reader === null) continue
      const used = lines.flatMap(({ plain }) => plain).join(' ')
      const free = [...'BCDEHL'].filter((each) => !used.includes(each) && !used.includes(pairOf[each] ?? '?'))
      yield* edited(
        scene,
        [...free, 'IXL'].map((each): Edit => ({
          ...telling,
          weight: 0.98,
          changes: { inside: { [i]: `LD ${each},A` }, after: { [i + 1]: `LD A,${each}` } },
        })),
      )
      yield { ...telling, ...seenAt(scene.main, reader), weight: 0.9 }
    }
  },
}

/** The first instruction that reads A, and nothing else than the one at `address` has written it. */
function readerOf(view: RunView, address: number): Fact | null {
  let writer: number | null = null
  for (const fact of view.facts) {
    // After the last round A is 0, and that may well be meant.
    if (fact.use.reads.has('A') && writer === address && fact.before.af >> 8 !== 0) return fact
    if (fact.use.writes.has('A') || fact.kind === 'firmware') writer = fact.pc
  }
  return null
}

const destroyedByCall: Detector = {
  id: 'register-destroyed-by-call',
  title: 'A called routine changes a register that is still needed',
  looksAt: 'a read of a register that a routine of the firmware changed last, and saving it round the call',
  *signs(scene) {
    yield* savedRoundLoops(scene)
    for (const view of scene.views) {
      const lost = lostToRoutine(view)
      if (lost === null) continue
      const { half, call, reader } = lost
      const name = call.routine?.name ?? showWord(call.pc)
      const telling = {
        found: `${half} is ${showByte(halfOf(reader.before, half))}, left by ${name}`,
        wanted: `${half} = ${showByte(halfOf(call.before, half))}, as before the call`,
        message: `${reader.text} at ${showWord(reader.pc)} goes by ${half}, but ${name} has changed it: it is ${showByte(halfOf(reader.before, half))}, and was ${showByte(halfOf(call.before, half))} before the call. Keep it in a register that ${name} leaves alone, or save it with PUSH and POP.`,
      }
      const caller =
        scene.draft.lines.find(({ mnemonic, address }) => /^(CALL|RST)$/.test(mnemonic) && address + 3 === reader.pc) ??
        scene.draft.lines.find((line) => line.mnemonic === 'CALL')
      const pair = pairOf[half] ?? 'BC'
      if (caller !== undefined) {
        const around = { inside: { [caller.index]: `PUSH ${pair}` }, after: { [caller.index]: `POP ${pair}` } }
        yield* edited(scene, [{ ...telling, weight: 0.97, address: reader.pc, changes: around }])
      }
      yield { ...telling, ...seenAt(view, reader), weight: 0.91 }
      return
    }
  },
}

/** Saving a loop's counter at the start of a round and taking it back before it is counted. */
function* savedRoundLoops(scene: Scene): Generator<Sign> {
  const { lines } = scene.draft
  for (const { start, end, counter } of loopsOf(scene)) {
    const count =
      end.mnemonic === 'DJNZ'
        ? end
        : lines.findLast(
            ({ index, mnemonic, plain }) => index < end.index && mnemonic === 'DEC' && plain[0] === counter,
          )
    const pair = pairOf[counter] ?? (/^(BC|DE|HL)$/.test(counter) ? counter : undefined)
    const call = lines.slice(start.index, end.index).find(({ mnemonic }) => mnemonic === 'CALL')
    if (count === undefined || pair === undefined || call === undefined || count.index < start.index) continue
    yield* edited(scene, [
      {
        weight: 0.975,
        address: end.address,
        changes: { inside: { [start.index]: `PUSH ${pair}`, [count.index]: `POP ${pair}` } },
        found: `${counter} counts the rounds and is changed within them`,
        wanted: `${counter} as the round found it`,
        message: `${counter} counts the rounds of the loop that ends at ${showWord(end.address)}, but ${atText(call)} and what else is in the loop change it. Save it with PUSH ${pair} and take it back before it is counted, or count in another register.`,
      },
    ])
  }
}

interface LostRegister {
  readonly half: UsedRegister
  readonly call: Fact
  readonly reader: Fact
}

/** A register that the program had set, that a routine changed, and that is then read as if it had not. */
function lostToRoutine(view: RunView): LostRegister | null {
  const writer = new Map<UsedRegister, Fact>()
  const set = new Set<UsedRegister>()
  for (const fact of view.facts) {
    if (fact.kind === 'firmware') {
      const gives = fact.routine?.gives ?? ''
      for (const name of fact.routine?.changes ?? []) {
        const half = name as UsedRegister
        const isAnswer = new RegExp(`\\b${name}\\b|\\b${pairOf[name] ?? '-'}\\b`).test(gives)
        if (name !== 'F' && !isAnswer && halfOf(fact.before, half) !== halfOf(fact.after, half)) writer.set(half, fact)
      }
      continue
    }
    for (const half of fact.use.reads) {
      const call = writer.get(half)
      const isSaving = fact.text.startsWith('PUSH') || fact.text.startsWith('EX')
      if (call !== undefined && set.has(half) && !isSaving) return { half, call, reader: fact }
    }
    for (const half of fact.use.writes) {
      writer.delete(half)
      set.add(half)
    }
  }
  return null
}

const notKept: Detector = {
  id: 'register-not-kept',
  title: 'A register does not come back as it was',
  looksAt: 'registers that the task wants kept and that the program writes without saving them',
  *signs(scene) {
    const failed = scene.failed.filter(
      ({ check, result }) =>
        check.kind === 'registers-kept' || /come back|registers?.* kept|are not kept/.test(result.message),
    )
    yield* changedByHandler(scene)
    const [first] = failed
    if (first === undefined) return
    const view = scene.view(first.result.decidedAt?.caseId ?? scene.mainCase)
    const asked = Array.isArray(first.check['registers'])
      ? first.check['registers'].map((each) => String(each).toUpperCase())
      : ['AF', 'BC', 'DE', 'HL']
    const { lines } = scene.draft
    for (const pair of ['BC', 'DE', 'HL', 'IX', 'IY', 'AF']) {
      const isAsked = asked.some((each) => each === pair || pairOf[each] === pair)
      const before = view.registers[pair.toLowerCase() as 'bc']
      const after = view.result.registers[pair.toLowerCase() as 'bc']
      if (!isAsked || before === after) continue
      const isPushed = lines.some(({ mnemonic, plain }) => mnemonic === 'PUSH' && plain[0] === pair)
      const writer = view.own.find(({ use }) => [...use.writes].some((half) => pairOf[half] === pair))
      const telling = {
        found: `${pair} = ${showWord(after)} at the end`,
        wanted: `${pair} = ${showWord(before)}, as at the start`,
        message: `${pair} was ${showWord(before)} at the start and is ${showWord(after)} at the end${writer === undefined ? '' : `; ${writer.text} at ${showWord(writer.pc)} is the first to change it`}.`,
      }
      const ends = lines.filter(({ mnemonic, operands }) => /^(RET|RETI|HALT)$/.test(mnemonic) && operands.length === 0)
      const around = {
        before: { 0: `PUSH ${pair}`, ...Object.fromEntries(ends.map(({ index }) => [index, `POP ${pair}`])) },
      }
      const inside = {
        before: { 0: `PUSH ${pair}` },
        inside: Object.fromEntries(ends.map(({ index }) => [index, `POP ${pair}`])),
      }
      const edits = [around, inside].map((changes) => ({
        ...telling,
        weight: 0.965,
        address: writer?.pc ?? 0,
        changes,
      }))
      yield* edited(scene, edits)
      const place = writer === undefined ? seenAtEnd(view) : seenAt(view, writer)
      yield { ...telling, ...place, weight: isPushed ? 0.6 : 0.93, checkIds: idsOf(failed) }
    }
  },
}

/** An interrupt handler that gives back other registers than it found. */
function* changedByHandler(scene: Scene): Generator<Sign> {
  for (const view of scene.views) {
    for (const { first, last } of handlerVisits(scene, view)) {
      const pair = (['af', 'bc', 'de', 'hl', 'ix', 'iy'] as const).find(
        (each) => first.before[each] !== last.after[each],
      )
      if (pair === undefined) continue
      const name = pair.toUpperCase()
      yield {
        ...seenAt(view, last),
        weight: 0.955,
        found: `${name} = ${showWord(last.after[pair])} after the interrupt`,
        wanted: `${name} = ${showWord(first.before[pair])}, as before it`,
        message: `The handler came with ${name} = ${showWord(first.before[pair])} and went back with ${showWord(last.after[pair])}. An interrupt may come between any two instructions, so its handler has to give back every register it uses, the flags too: PUSH at its start, POP in the opposite order before EI and RET.`,
      }
      return
    }
  }
}

const notInitialised: Detector = {
  id: 'not-initialised',
  title: 'Something is used before it was given a value',
  isConsequence: true,
  looksAt: 'registers and bytes of RAM that are read before the program has written them',
  *signs(scene) {
    for (const view of scene.views) {
      const reads = unsetReads(scene, view)
      const [first] = reads
      if (first === undefined) continue
      const { half, reader } = first
      const telling = {
        address: reader.pc,
        found: `${half} is ${showByte(halfOf(reader.before, half))}, left by chance`,
        wanted: `${half} set before it is used`,
        message: `${reader.text} at ${showWord(reader.pc)} uses ${half}, which nothing has set before: it holds whatever chance has left there. Give it a value before.`,
      }
      const halves = new Set(reads.map((each) => each.half))
      const whole = ['BC', 'DE', 'HL'].filter((pair) => [...pair].every((each) => halves.has(each as UsedRegister)))
      const loads = [...whole.map((pair) => `LD ${pair},0`), ...[...halves].map((each) => `LD ${each},0`)]
      const reading = scene.draft.at(reader.pc)
      const loop =
        reading === null
          ? 0
          : (scene.draft.lines.findLast(({ index, label }) => index <= reading.index && label !== null)?.index ?? 0)
      // Where the other half of its pair is loaded, the missing one belongs beside it.
      const besides = scene.draft.lines
        .filter(({ mnemonic, plain: [to = ''] }) => mnemonic === 'LD' && to !== half && pairOf[to] === pairOf[half])
        .map(({ index }) => index)
      const places = [...new Set([...besides.slice(0, 2), 0, 1, loop, reading?.index ?? 0])]
      const edits = loads.flatMap((load) =>
        places.map((place): Edit => ({ ...telling, weight: 0.965, changes: { before: { [place]: load } } })),
      )
      yield* edited(scene, edits)
      yield { ...telling, ...seenAt(view, reader), weight: 0.8 }
      break
    }
    yield* unsetMemory(scene)
    yield* unsetDigits(scene)
  },
}

interface UnsetRead {
  readonly half: UsedRegister
  readonly reader: Fact
}

function unsetReads(scene: Scene, view: RunView): readonly UnsetRead[] {
  const set = new Set<UsedRegister>(['SP', 'I', 'R', ...givenHalves(scene, view)])
  const found: UnsetRead[] = []
  for (const fact of view.facts) {
    if (fact.kind === 'firmware') {
      const answers = (fact.routine?.gives ?? '').match(/\b[ABCDEHL]\b|\b(BC|DE|HL)\b/g) ?? []
      for (const answer of answers) for (const half of answer) set.add(half as UsedRegister)
      continue
    }
    // Saving is no use; a mask such as AND 0 would be, but nobody writes it.
    const isSaving = /^(PUSH|EX|EXX)\b/.test(fact.text)
    const address = portAddressHalf(fact)
    for (const half of fact.use.reads) {
      if (
        !isSaving &&
        half !== address &&
        !set.has(half) &&
        half in pairOf &&
        !found.some((each) => each.half === half)
      )
        found.push({ half, reader: fact })
    }
    for (const half of fact.use.writes) set.add(half)
  }
  return found
}

/** What a port instruction puts on address lines 8 to 15 alone, which no port of a board's profile looks at: A, or B. */
function portAddressHalf({ text }: Fact): UsedRegister | null {
  if (/^IN A,\((?!C\))/.test(text)) return 'A'
  return /^(IN|OUT) .*\(C\)/.test(text) && !/,B$/.test(text) ? 'B' : null
}

/** A byte of RAM that is read though neither the task nor the program has put anything there. */
function* unsetMemory(scene: Scene): Generator<Sign> {
  const view = scene.main
  const given = new Set<number>()
  for (const { at, bytes } of view.request.given.memory) bytes.forEach((_, i) => given.add(at + i))
  const { layout, display } = scene.profile
  for (let i = 0; i < display.digits; i++) given.add(layout.digitBuffer + i)
  for (const fact of view.own) {
    const isStack = /^(POP|RET|EX)/.test(fact.text)
    const unset = fact.reads.find(
      (address) => address >= layout.program && !given.has(address) && !scene.isInside(address),
    )
    if (!isStack && unset !== undefined && unset < layout.stackTop) {
      yield {
        ...seenAt(view, fact),
        weight: 0.875,
        found: `${showWord(unset)} is read before anything was written there`,
        wanted: 'a value put there first',
        message: `${fact.text} at ${showWord(fact.pc)} reads ${showWord(unset)}, where neither the task nor the program has put anything: after power-on RAM holds what chance left.`,
      }
      return
    }
    for (const { address } of fact.writes) given.add(address)
  }
}

/** Digits that show what chance left in the buffer, since the program never writes their place. */
function* unsetDigits(scene: Scene): Generator<Sign> {
  const { layout, display } = scene.profile
  const view = scene.main
  const given = view.request.given.memory
  const isGiven = (address: number): boolean =>
    given.some(({ at, bytes }) => address >= at && address < at + bytes.length)
  const unset = view.wrongBytes.filter(
    ({ address, found, initial }) =>
      address >= layout.digitBuffer &&
      address < layout.digitBuffer + display.digits &&
      found === initial &&
      !isGiven(address) &&
      view.lastWriter(address) === null,
  )
  const [first] = unset
  const isPainted = view.facts.some(({ kind }) => kind === 'firmware')
  if (first === undefined || unset.length === display.digits || !isPainted) return
  yield {
    ...seenAtEnd(view),
    address: first.address,
    weight: 0.88,
    found: `${showWord(first.address)} holds ${showByte(first.found)}, left by chance`,
    wanted: showByte(first.wanted),
    message: `The program never writes to ${showWord(first.address)}, so the digit shows what chance left there after power-on. A dark digit has to be written as well: 00h.`,
  }
}

const wrongRegister: Detector = {
  id: 'wrong-register',
  title: 'Another register was meant',
  looksAt: 'an instruction that passes with another register',
  *signs(scene) {
    const { repair } = scene
    const { lines } = scene.draft
    const used = [...'ABCDEHL'].filter((each) => lines.some(({ plain }) => plain.includes(each)))
    // Those first that work on a register which has just been looked at or changed.
    const logic = lines.filter(
      ({ mnemonic, plain }) =>
        /^(AND|OR|XOR|CP|ADD|ADC|SUB|SBC)$/.test(mnemonic) && /^[A-EHL]$/.test(plain.at(-1) ?? ''),
    )
    const edits = logic.flatMap((line) =>
      used
        .filter((each) => each !== line.plain.at(-1))
        .map((each): Edit => ({
          weight: 0.86,
          address: line.address,
          changes: { instead: { [line.index]: `${line.mnemonic} ${[...line.operands.slice(0, -1), each].join(',')}` } },
          found: atText(line),
          wanted: 'another register',
          message: `${atText(line)} works with a register that does not hold what is meant here. Write down what each register holds at this place.`,
        })),
    )
    yield* edited(scene, edits)
    if (repair?.kind !== 'register') return
    yield {
      weight: 0.8,
      image: repair.image,
      address: repair.at,
      found: repair.instruction.found ?? '',
      wanted: 'another register',
      message: `${repair.instruction.found ?? 'The instruction'} at ${showWord(repair.at)} works with a register that does not hold what is meant here.`,
    }
  },
}

export const registers: readonly Detector[] = [zeroTestSpoilsA, destroyedByCall, notKept, notInitialised, wrongRegister]
