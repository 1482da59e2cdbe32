import { byteDigits, showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Fact } from './facts.ts'
import { isCount } from './loops.ts'
import { halfOf } from './registers.ts'
import type { RunView, Scene } from './scene.ts'
import { atText, edited, idsOf, poked, seenAt, seenAtEnd, shown, type Edit, type Poke } from './signs.ts'

const valueAndContents: Detector = {
  id: 'value-and-contents',
  title: 'A number for what is stored at it, or the other way round',
  looksAt: 'loads that pass with brackets put round their number or taken off',
  *signs(scene) {
    const loads = scene.draft.lines.filter(({ mnemonic, plain }) => mnemonic === 'LD' && isNumber(plain[1] ?? ''))
    const edits = loads.map((line): Edit => {
      const [to = '', from = ''] = line.operands
      const inside = /^\((.*)\)$/.exec(from.trim())?.[1]
      return {
        weight: 0.96,
        address: line.address,
        changes: { instead: { [line.index]: `LD ${to},${inside ?? `(${from})`}` } },
        found: atText(line),
        wanted: inside === undefined ? 'what is stored at that address' : 'the number itself',
        message:
          inside === undefined
            ? `${atText(line)} loads the number itself. What is stored at that address is meant: then the address stands in brackets.`
            : `${atText(line)} loads what is stored at that address. The number itself is meant: then it stands without brackets.`,
      }
    })
    for (const group of [
      edits.filter(({ found }) => found.includes('(')),
      edits.filter(({ found }) => !found.includes('(')),
    ]) {
      yield* edited(scene, group, true)
    }
  },
}

function isNumber(operand: string): boolean {
  const inside = /^\((.*)\)$/.exec(operand)?.[1] ?? operand
  return !/^(A|B|C|D|E|H|L|I|R|BC|DE|HL|SP|AF|I[XY][HL]?|I[XY][+-].*)$/.test(inside) && inside !== ''
}

const pointers = ['HL', 'DE', 'BC', 'IX', 'IY']

const addressOffByOne: Detector = {
  id: 'address-off-by-one',
  title: 'An address is one off',
  looksAt: 'addresses that pass when they are one more or less, in an operand or in a pointer on its way',
  *signs(scene) {
    const sites = scene.sites.filter(
      (site) =>
        (site.operand === 'nn' || /^LD [CEHL],n$/.test(site.form)) && /^LD /.test(site.form) && !isCount(scene, site),
    )
    yield* poked(
      scene,
      sites.flatMap((site) =>
        [1, -1].map((difference): Poke => {
          const isWord = site.operand === 'nn'
          const wanted = site.value + difference
          return {
            weight: 0.948,
            address: site.address,
            bytes: isWord
              ? { [site.at]: wanted & 0xff, [site.at + 1]: (wanted >> 8) & 0xff }
              : { [site.at]: wanted & 0xff },
            found: shown(site.value, isWord),
            wanted: `one ${difference > 0 ? 'further on' : 'before'}`,
            message: `${site.text} at ${showWord(site.address)} points one byte too ${difference > 0 ? 'low' : 'high'}. Count the places from 0: the first of n bytes stands at the start, the last at start + n − 1.`,
          }
        }),
      ),
    )
    yield* edited(scene, pointerEdits(scene))
  },
}

function pointerEdits({ draft }: Scene): readonly Edit[] {
  const { lines } = draft
  const used = pointers.filter((pair) => lines.some(({ text }) => text.toUpperCase().includes(pair)))
  const telling = (
    line: DraftLine,
    pair: string,
    difference: string,
  ): Pick<Edit, 'address' | 'found' | 'wanted' | 'message'> => ({
    address: line.address,
    found: `${pair} is one too ${difference === 'INC' ? 'low' : 'high'} at ${atText(line)}`,
    wanted: `one ${difference === 'INC' ? 'further on' : 'before'}`,
    message: `At ${atText(line)} the pointer ${pair} is one byte too ${difference === 'INC' ? 'low' : 'high'}. Follow it through the first round, and for the last of n bytes count start + n − 1.`,
  })
  const starts = lines.filter(({ label, index }) => label !== null && index > 0)
  const blocks = lines.filter(({ mnemonic }) => /^(LD[ID]R|CP[ID]R)$/.test(mnemonic))
  const steps = ['INC', 'DEC']
  const before = [...starts, ...blocks].flatMap((line) =>
    steps.flatMap((step) => [
      ...used.map((pair): Edit => ({
        weight: 0.925,
        ...telling(line, pair, step),
        changes: { before: { [line.index]: `${step} ${pair}` } },
      })),
      ...(blocks.includes(line)
        ? [
            {
              weight: 0.925,
              ...telling(line, 'HL and DE', step),
              changes: { inside: { [line.index]: `${step} HL\n${step} DE` } },
            },
          ]
        : []),
    ]),
  )
  const moves = lines.filter(({ mnemonic, plain }) => /^(INC|DEC)$/.test(mnemonic) && pointers.includes(plain[0] ?? ''))
  const dropped = moves.map((line): Edit => ({
    weight: 0.91,
    ...telling(line, line.plain[0] ?? '', line.mnemonic === 'INC' ? 'DEC' : 'INC'),
    changes: { instead: { [line.index]: '' } },
  }))
  return [...before, ...dropped]
}

const exchanged: Detector = {
  id: 'source-and-target-swapped',
  title: 'From and to are the wrong way round',
  looksAt: 'block moves that pass with HL and DE exchanged, loads that pass with their operands exchanged',
  *signs(scene) {
    const { draft } = scene
    const blocks = draft.lines.filter(({ mnemonic }) => /^LD[ID]R?$/.test(mnemonic))
    yield* edited(
      scene,
      blocks.map((line): Edit => ({
        weight: 0.965,
        address: line.address,
        changes: { inside: { [line.index]: 'EX DE,HL' } },
        found: `${line.mnemonic} copies from the address that is meant as target`,
        wanted: 'HL from, DE to',
        message: `${line.mnemonic} at ${showWord(line.address)} copies from (HL) to (DE). Here HL holds the address to copy to and DE the one to copy from.`,
      })),
    )
    const loads = draft.lines.filter(({ mnemonic, operands }) => mnemonic === 'LD' && operands.length === 2)
    yield* edited(
      scene,
      loads.map((line): Edit => ({
        weight: 0.93,
        address: line.address,
        changes: { instead: { [line.index]: `LD ${line.operands[1] ?? ''},${line.operands[0] ?? ''}` } },
        found: atText(line),
        wanted: 'the other direction',
        message: `${atText(line)} moves in the wrong direction: LD writes what stands behind the comma into what stands before it.`,
      })),
    )
  },
}

const copyDirection: Detector = {
  id: 'copy-direction',
  title: 'The block is copied in the wrong direction',
  looksAt:
    'LDIR that passes as LDDR or the other way round, and block moves that read what they have written themselves',
  *signs(scene) {
    const opposite: Readonly<Record<number, number>> = { 0xb0: 0xb8, 0xb8: 0xb0, 0xa0: 0xa8, 0xa8: 0xa0 }
    const sites = scene.sites.filter(({ form }) => /^LD[ID]R?$/.test(form))
    yield* poked(
      scene,
      sites.map((site): Poke => ({
        weight: 0.955,
        address: site.address,
        bytes: { [site.address + 1]: opposite[site.bytes[1] ?? 0] ?? 0 },
        found: `${site.text} goes ${/I/.test(site.form.slice(2)) ? 'up' : 'down'} from the addresses in HL and DE`,
        wanted: 'the other direction',
        message: `${site.text} at ${showWord(site.address)} goes the wrong way: LDIR begins at the lowest address and counts up, LDDR begins at the highest and counts down.`,
      })),
    )
    for (const view of scene.views) {
      const read = readsOwnWrite(view)
      if (read === null) continue
      const [address = 0] = read.reads
      yield {
        ...seenAt(view, read),
        weight: 0.935,
        found: `${read.text} reads ${showWord(address)} after it has overwritten it`,
        wanted: 'each byte read before it is overwritten',
        message: `${read.text} at ${showWord(read.pc)} comes to ${showWord(address)} when it has already written there: the areas overlap. When the copy goes to higher addresses begin at the end (LDDR), when it goes to lower ones begin at the start (LDIR).`,
      }
      return
    }
  },
}

/** A round of a block move that reads what an earlier round of it has written. */
function readsOwnWrite(view: RunView): Fact | null {
  let written = new Set<number>()
  let before: Fact | null = null
  for (const fact of view.own) {
    const isBlock = /^LD[ID]R$/.test(fact.text)
    if (!isBlock || before?.pc !== fact.pc) written = new Set()
    if (isBlock && fact.reads.some((address) => written.has(address))) return fact
    if (isBlock) for (const { address } of fact.writes) written.add(address)
    before = fact
  }
  return null
}

const overwritten: Detector = {
  id: 'overwritten-before-read',
  title: 'A byte is overwritten before it was read',
  looksAt: 'given bytes that are written first and read later',
  *signs(scene) {
    const view = scene.main
    const given = new Set<number>()
    for (const { at, bytes } of view.request.given.memory) bytes.forEach((_, i) => given.add(at + i))
    const read = new Set<number>()
    const written = new Map<number, Fact>()
    for (const fact of view.own) {
      const isBlock = /^(LD[ID]R?|POP|RET)/.test(fact.text)
      for (const address of fact.reads) {
        const writer = written.get(address)
        if (!isBlock && writer !== undefined && !read.has(address)) {
          yield {
            ...seenAt(view, writer),
            weight: 0.925,
            found: `${showWord(address)} is overwritten before anything has read it`,
            wanted: 'its first value kept somewhere',
            message: `${writer.text} at ${showWord(writer.pc)} overwrites ${showWord(address)}, and ${fact.text} at ${showWord(fact.pc)} reads it only afterwards: the byte that stood there is gone. Keep it in a register first.`,
          }
          return
        }
        read.add(address)
      }
      for (const { address } of fact.writes)
        if (given.has(address) && !isBlock && !read.has(address)) written.set(address, fact)
    }
  },
}

const wordForByte: Detector = {
  id: 'word-for-byte',
  title: 'A word is moved where a byte is meant',
  looksAt: 'stores of a pair whose second byte lands on something that should have stayed',
  *signs(scene) {
    for (const view of scene.views) {
      for (const { address, found, wanted, initial } of view.wrongBytes) {
        const writer = view.lastWriter(address)
        const isSecond =
          writer !== null &&
          /^LD \((?!HL|DE|BC|I[XY])[^)]*\),(HL|DE|BC|IX|IY|SP)$/.test(writer.text) &&
          writer.writes.at(-1)?.address === address
        if (!isSecond || wanted !== initial) continue
        yield {
          ...seenAt(view, writer),
          weight: 0.945,
          found: `${writer.text} writes two bytes, the second to ${showWord(address)}`,
          wanted: `${showWord(address)} left at ${showByte(wanted)}`,
          message: `${writer.text} at ${showWord(writer.pc)} writes two bytes: the second one goes to ${showWord(address)}, which becomes ${showByte(found)} and should have stayed ${showByte(wanted)}. For one byte go through A.`,
        }
        return
      }
    }
  },
}

const notStored: Detector = {
  id: 'result-not-stored',
  title: 'A result is not stored or not used',
  looksAt:
    'places that the model answer writes and the program never does, and answers of routines that are overwritten unread',
  *signs(scene) {
    yield* answerThrownAway(scene)
    yield* neverUsed(scene)
    for (const view of scene.views) {
      const { kind } = view.result.end
      const missing = view.wrongBytes.find(
        ({ address, found, wanted, initial }) =>
          found === initial && wanted !== initial && view.lastWriter(address) === null,
      )
      if (missing === undefined || (kind !== 'halted' && kind !== 'returned')) continue
      const count = view.wrongBytes.length
      yield {
        ...seenAtEnd(view),
        address: missing.address,
        weight: count === 1 ? 0.9 : 0.86,
        found: `nothing is written to ${showWord(missing.address)}`,
        wanted: `${byteDigits(missing.wanted)} stored there`,
        message: `The program never writes to ${showWord(missing.address)}, where ${showByte(missing.wanted)} should stand at the end. A result counts only when it is stored where the task wants it.`,
      }
      return
    }
  },
}

/** What a routine gives in A, overwritten before anything has read it. */
function* answerThrownAway(scene: Scene): Generator<Sign> {
  const view = scene.main
  let call: Fact | null = null
  let before: Fact | null = null
  let isEntered = false
  for (const fact of view.facts) {
    if (fact.kind === 'firmware') {
      const isCalled = before !== null && before.text.startsWith('CALL')
      call = isCalled && /\bA =/.test(fact.routine?.gives ?? '') ? fact : null
      isEntered = true
      continue
    }
    // Else an interrupt came, or a part of the run was passed over.
    if (isEntered && before !== null && fact.pc !== before.pc + before.bytes.length) call = null
    isEntered = false
    before = fact
    if (call === null) continue
    if (fact.use.reads.has('A')) call = null
    else if (fact.use.writes.has('A')) {
      const name = call.routine?.name ?? 'the routine'
      yield {
        ...seenAt(view, fact),
        weight: 0.95,
        found: `${fact.text} overwrites what ${name} gave in A`,
        wanted: 'A stored or used first',
        message: `${name} gives its answer in A, and ${fact.text} at ${showWord(fact.pc)} overwrites it before anything has used or stored it.`,
      }
      return
    }
  }
}

/** A register that a loop works out round by round, and that nothing looks at afterwards though only flags are asked for. */
function* neverUsed(scene: Scene): Generator<Sign> {
  const isFlagsOnly = scene.failed.length > 0 && scene.failed.every(({ check }) => !/^registers/.test(check.kind))
  const view = scene.main
  if (!isFlagsOnly || scene.failedOf('flags').length === 0) return
  const writes = new Map<number, number>()
  for (const { pc, use } of view.own) if (use.writes.size > 0) writes.set(pc, (writes.get(pc) ?? 0) + 1)
  const read = new Set<string>()
  for (const fact of view.own.toReversed()) {
    const [, half = ''] = /^LD ([BCDEHL]),A$/.exec(fact.text) ?? []
    if (half !== '' && !read.has(half) && (writes.get(fact.pc) ?? 0) > 2) {
      yield {
        ...seenAt(view, fact),
        weight: 0.72,
        found: `${half} = ${showByte(halfOf(fact.after, half as 'B'))} is worked out and never used`,
        wanted: 'a comparison with it',
        message: `The loop works out ${half} (${fact.text} at ${showWord(fact.pc)}), and nothing looks at it afterwards. A result that nobody compares or stores decides nothing.`,
      }
      return
    }
    for (const each of fact.use.reads) read.add(each)
  }
}

const strayWrite: Detector = {
  id: 'stray-write',
  title: 'Something is written where nothing should be',
  looksAt: 'stores to places that the task leaves alone, which pass when left out',
  *signs(scene) {
    const failed = scene.failed.filter(
      ({ check }) => check.kind === 'memory' && ('noOtherWrite' in check || 'elsewhere' in check),
    )
    const [first] = failed
    if (first === undefined) return
    const { decidedAt, message } = first.result
    const at = decidedAt?.address ?? 0
    const line = scene.draft.at(at)
    const telling = {
      address: at,
      found: first.result.measured ?? 'another write',
      wanted: first.result.wanted ?? 'nothing else written',
      message: `${message} ${line === null ? '' : `${atText(line)} did that.`}`.trim(),
    }
    if (!/write to|changed to/.test(first.result.measured ?? '')) return
    if (line !== null) yield* edited(scene, [{ ...telling, weight: 0.93, changes: { instead: { [line.index]: '' } } }])
    const place = decidedAt === null ? {} : { caseId: decidedAt.caseId, step: decidedAt.step, t: decidedAt.t }
    yield { ...telling, ...place, weight: scene.failed.length === failed.length ? 0.85 : 0.58, checkIds: idsOf(failed) }
  },
}

const writesOwnCode: Detector = {
  id: 'writes-own-code',
  title: 'The program overwrites itself',
  looksAt: 'stores into the bytes of the program',
  *signs(scene) {
    const failed = scene.failedOf('writes-own-code')
    for (const view of scene.views) {
      const fact = view.own.find(
        ({ text, writes }) => !/^(PUSH|CALL|RST)/.test(text) && writes.some(({ address }) => scene.isInside(address)),
      )
      if (fact === undefined) continue
      const address = fact.writes.find((write) => scene.isInside(write.address))?.address ?? 0
      const isExecuted = view.own.some(
        ({ pc, bytes, step }) => step > fact.step && address >= pc && address < pc + bytes.length,
      )
      if (!isExecuted && failed.length === 0) continue
      yield {
        ...seenAt(view, fact),
        weight: failed.length > 0 ? 0.97 : 0.9,
        ...(failed.length > 0 ? { checkIds: idsOf(failed) } : {}),
        found: `${fact.text} writes to ${showWord(address)}, inside the program`,
        wanted: 'data outside the program',
        message: `${fact.text} at ${showWord(fact.pc)} writes to ${showWord(address)}. There stands the program itself, so it is changed while it runs.`,
      }
      return
    }
  },
}

const wrongData: Detector = {
  id: 'wrong-data',
  title: 'A byte of data is wrong',
  looksAt: 'bytes of the program that are read and never executed, with another value that passes',
  *signs(scene) {
    const executed = new Set<number>()
    for (const view of scene.views) for (const { pc, bytes } of view.own) bytes.forEach((_, i) => executed.add(pc + i))
    const data = scene.program.image.segments
      .flatMap(({ start, bytes }) => Array.from(bytes, (_, i) => start + i))
      .filter((address) => !executed.has(address))
    const wrong = scene.views.flatMap(({ wrongBytes }) => wrongBytes.slice(0, 16))
    const pokes = data.flatMap((address): readonly Poke[] => {
      const found = scene.draft.byte(address)
      const wanted = new Set(wrong.filter((byte) => byte.found === found).map((byte) => byte.wanted))
      return [...wanted].slice(0, 2).map((value) => dataPoke(address, found, value))
    })
    yield* poked(scene, pokes.slice(0, 64))
    yield* wrongTable(scene, executed)
    const { repair } = scene
    if (repair?.kind === 'replace' && !executed.has(repair.at)) {
      yield { ...dataPoke(repair.at, repair.found[0] ?? 0, repair.wouldBe[0] ?? 0), image: repair.image }
    }
  },
}

/** Tones or signs that come from a table of the program and are wrong, while everything about their time is right. */
function* wrongTable(scene: Scene, executed: ReadonlySet<number>): Generator<Sign> {
  const failed = scene.failedOf('tones-in-turn', 'signs-in-turn', 'digit-buffer', 'digits-seen')
  const [first] = failed.filter(({ check }) => !('each' in check) && !('maxGap' in check))
  if (first === undefined) return
  const view = scene.main
  const readers = view.own.filter(({ reads }) =>
    reads.some((address) => scene.isInside(address) && !executed.has(address)),
  )
  const places = new Set(readers.flatMap(({ reads }) => reads))
  const reader = readers[0]
  if (reader === undefined || places.size < 4) return
  const at = first.result.decidedAt
  yield {
    ...seenAt(view, reader),
    ...(at === null ? {} : { caseId: at.caseId, step: at.step, t: at.t }),
    weight: 0.69,
    checkIds: idsOf([first, ...failed.filter((each) => each !== first)]),
    found: first.result.measured ?? 'another result',
    wanted: first.result.wanted ?? first.result.title,
    message: `${first.result.message} The values come from the table that ${reader.text} at ${showWord(reader.pc)} reads: work them out once more.`,
  }
}

function dataPoke(address: number, found: number, wanted: number): Poke {
  return {
    weight: 0.94,
    address,
    bytes: { [address]: wanted },
    found: `${byteDigits(found)} at ${showWord(address)}`,
    wanted: 'another value there',
    message: `The byte of data at ${showWord(address)}, ${byteDigits(found)}, is not what is meant. The instructions treat it rightly; work out the value once more, bit by bit.`,
  }
}

const notMovable: Detector = {
  id: 'not-movable',
  title: 'The program runs at one address only',
  looksAt: 'addresses inside the program itself, where it has to run at another place too',
  *signs(scene) {
    const failed = scene.failed.filter(({ check }) => check.kind === 'runs-elsewhere')
    const [first] = failed
    const fixed = scene.sites.find(({ operand, value }) => operand === 'nn' && scene.isInside(value))
    if (first === undefined || fixed === undefined) return
    yield {
      weight: 0.95,
      address: fixed.address,
      checkIds: idsOf(failed),
      found: `${fixed.text} names the address ${showWord(fixed.value)} of the program itself`,
      wanted: 'relative jumps, no address inside the program',
      message: `${fixed.text} at ${showWord(fixed.address)} holds the address ${showWord(fixed.value)}, which is inside the program. At another place something else stands there. Relative jumps (JR, DJNZ) move with the program.`,
    }
  },
}

export const addresses: readonly Detector[] = [
  valueAndContents,
  addressOffByOne,
  exchanged,
  copyDirection,
  overwritten,
  wordForByte,
  notStored,
  strayWrite,
  writesOwnCode,
  wrongData,
  notMovable,
]
