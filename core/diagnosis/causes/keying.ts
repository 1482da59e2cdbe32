import { byteDigits, showByte, showWord } from '../../image/index.ts'
import { editedImage } from '../../edits/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { Scene } from './scene.ts'
import { poked, seenAtEnd, shown, type Poke } from './signs.ts'
import type { Site } from './sites.ts'

const mistypedDigit: Detector = {
  id: 'mistyped-digit',
  title: 'A digit was mistyped',
  looksAt: 'an edit of one byte that passes and changes one of its two digits, or exchanges them',
  *signs(scene) {
    const { repair } = scene
    if (repair?.kind !== 'replace') return
    const [found = 0] = repair.found
    const [wanted = 0] = repair.wouldBe
    const isSwapped = found >> 4 === (wanted & 15) && (found & 15) === wanted >> 4
    const isOneDigit = found >> 4 === wanted >> 4 || (found & 15) === (wanted & 15)
    const how = isSwapped ? 'its two digits the wrong way round' : isOneDigit ? 'one digit wrong' : 'another value'
    yield {
      weight: scene.isAssembly ? 0.5 : isOneDigit || isSwapped ? 0.926 : 0.8,
      image: repair.image,
      isKeyed: true,
      address: repair.at,
      ...narrowed(repair.at, how),
      message: `One byte near ${showWord(repair.at & ~7)} has ${how}. Compare it digit by digit with what you meant to key.`,
    }
  },
}

function* slip(scene: Scene, kind: 'swap' | 'insert' | 'remove', message: string): Generator<Sign> {
  const { repair } = scene
  if (repair?.kind !== kind) return
  yield {
    weight: scene.isAssembly ? 0.4 : 0.958,
    image: repair.image,
    isKeyed: true,
    address: repair.at,
    ...narrowed(
      repair.at,
      kind === 'insert' ? 'a byte missing' : kind === 'remove' ? 'a byte too many' : 'two in each other’s place',
    ),
    message,
  }
}

/** A line of the keying sheet: the byte itself is for the exercise to show or not, see `hintOf`. */
function narrowed(at: number, how: string): Pick<Sign, 'found' | 'wanted'> {
  const from = at & ~7
  return { found: `${how}, between ${showWord(from)} and ${showWord(from + 7)}`, wanted: 'the bytes of your listing' }
}

const neighboursSwapped: Detector = {
  id: 'neighbours-swapped',
  title: 'Two neighbouring bytes have changed places',
  looksAt: 'an exchange of two neighbouring bytes that passes',
  *signs(scene) {
    const message =
      'Every byte is there, but two that stand side by side are in the wrong order. Compare them with your listing.'
    yield* slip(scene, 'swap', message)
  },
}

const byteMissing: Detector = {
  id: 'byte-missing',
  title: 'A byte was left out',
  looksAt: 'one byte more that passes',
  *signs(scene) {
    const message =
      'Everything behind it stands one place too early and is read as something else. Compare the bytes with your listing.'
    yield* slip(scene, 'insert', message)
  },
}

const byteExtra: Detector = {
  id: 'byte-extra',
  title: 'A byte too many',
  looksAt: 'one byte less that passes, first of all where the same byte stands twice',
  *signs(scene) {
    const message =
      'Everything behind it stands one place too late and is read as something else. Compare the bytes with your listing.'
    yield* keyedTwice(scene, message)
    yield* slip(scene, 'remove', message)
  },
}

/** A byte that stands twice, once in the program with which everything passes: a key that was pressed twice. */
function* keyedTwice(scene: Scene, message: string): Generator<Sign> {
  if (scene.isAssembly) return
  for (const { start, bytes } of scene.draft.image.segments) {
    for (const [i, byte] of bytes.entries()) {
      if (bytes[i + 1] !== byte) continue
      const image = editedImage(scene.draft.image, { kind: 'remove', at: start + i, found: byte })
      if (image === null || scene.mending.try(image)?.isFull !== true) continue
      yield {
        weight: 0.965,
        image,
        isKeyed: true,
        address: start + i,
        ...narrowed(start + i, 'the same byte twice'),
        message,
      }
      return
    }
  }
}

const decimalAndHex: Detector = {
  id: 'decimal-and-hex',
  title: 'Decimal and hexadecimal were mixed up',
  looksAt: 'operands whose digits, read in the other base, pass',
  *signs(scene) {
    // All of one kind at once too: a student who forgets the h forgets it everywhere.
    yield* poked(
      scene,
      scene.sites.flatMap((site) =>
        basePokes(site, isWrittenHex(scene, site) ? [] : [Number.parseInt(String(site.value), 16)], 0.956),
      ),
    )
    yield* poked(
      scene,
      scene.sites.flatMap((site) => basePokes(site, asDecimal(site), 0.955)),
    )
    yield* poked(
      scene,
      dataSites(scene).flatMap((site) => basePokes(site, asDecimal(site), 0.955)),
    )
    yield* poked(
      scene,
      scene.sites.flatMap((site) => basePokes(site, longerDecimals(site), 0.94)),
    )
  },
}

/** In the student's own text with h at its end: then it is no decimal number. */
function isWrittenHex(scene: Scene, { address }: Site): boolean {
  const operands = scene.isAssembly ? (scene.draft.at(address)?.plain ?? []) : []
  return operands.some((operand) => /^\(?[0-9][0-9A-F]*H\)?$/.test(operand))
}

/** Bytes of data: read by the program and never executed. */
function dataSites(scene: Scene): readonly Site[] {
  const { own } = scene.main
  const executed = new Set(own.flatMap(({ pc, bytes }) => bytes.map((_, i) => pc + i)))
  const read = new Set(own.flatMap(({ reads }) => reads))
  return [...read]
    .filter((address) => scene.isInside(address) && !executed.has(address))
    .sort((a, b) => a - b)
    .slice(0, 64)
    .map((address) => {
      const value = scene.draft.byte(address)
      const text = `DB ${showByte(value)}`
      return { address, bytes: [value], text, form: 'DB n', operand: 'n', at: address, value, isNamed: false }
    })
}

/** The hexadecimal digits taken as decimal ones. */
function asDecimal({ value }: Site): readonly number[] {
  const hex = value.toString(16)
  return /^\d+$/.test(hex) ? [Number(hex)] : []
}

/** Decimal numbers too long for the two digits of a byte, whose last figure was dropped. */
function longerDecimals(site: Site): readonly number[] {
  return site.value < 10
    ? []
    : asDecimal(site).flatMap((start) => Array.from({ length: 10 }, (_, last) => 10 * start + last))
}

function basePokes(site: Site, wanted: readonly number[], weight: number): readonly Poke[] {
  if (site.operand === null || site.value < 10 || /^(JP|CALL)/.test(site.form)) return []
  const limit = site.operand === 'nn' ? 0xffff : 0xff
  return wanted.filter((each) => each !== site.value && each <= limit).map((each) => basePoke(site, each, weight))
}

function basePoke(site: Site, wanted: number, weight: number): Poke {
  const isWord = site.operand === 'nn'
  const found = shown(site.value, isWord)
  return {
    weight,
    address: site.address,
    bytes: isWord ? { [site.at]: wanted & 0xff, [site.at + 1]: wanted >> 8 } : { [site.at]: wanted },
    found: `${found} (${site.value} in decimal)`,
    wanted: `${shown(wanted, isWord)} (${wanted} in decimal)`,
    message: `${site.text} at ${showWord(site.address)} works with ${found}, which is ${site.value} in decimal. The same digits in the other base would be right: a number with h is hexadecimal, one without it decimal, and a keypad takes hexadecimal only.`,
  }
}

const bytesInWrongOrder: Detector = {
  id: 'bytes-in-wrong-order',
  title: 'Low and high byte are the wrong way round',
  looksAt: 'words that pass with their halves exchanged, and results that are the wanted ones with halves exchanged',
  *signs(scene) {
    yield* poked(scene, scene.sites.flatMap(swappedWord))
    yield* exchangedHalves(scene)
    yield* reversedResult(scene)
  },
}

function swappedWord(site: Site): readonly Poke[] {
  if (site.operand !== 'nn' || site.isNamed || site.value >> 8 === (site.value & 0xff)) return []
  const wanted = ((site.value & 0xff) << 8) | (site.value >> 8)
  return [
    {
      weight: 0.96,
      address: site.address,
      bytes: { [site.at]: wanted & 0xff, [site.at + 1]: wanted >> 8 },
      found: showWord(site.value),
      wanted: 'the same two bytes, low byte first',
      message: `${site.text} at ${showWord(site.address)} holds the word ${showWord(site.value)}. In memory, and inside an instruction, the low byte of a word comes first and the high one behind it.`,
    },
  ]
}

const exchanges: Readonly<Record<string, string>> = { H: 'L', L: 'H', D: 'E', E: 'D', B: 'C', C: 'B' }
const withHalves = /^(LD|ADD|ADC|SUB|SBC|INC|DEC|AND|OR|XOR|CP)$/

/** Every high half for its low one and back: what was taken first should have been taken last. In loads alone, or everywhere. */
function* exchangedHalves(scene: Scene): Generator<Sign> {
  if (!scene.isFunctionWrong) return
  for (const mnemonics of [/^LD$/, withHalves]) {
    const lines = scene.draft.lines.filter(
      ({ mnemonic, plain }) => mnemonics.test(mnemonic) && plain.some((each) => each in exchanges),
    )
    const [first] = lines
    if (first === undefined) continue
    const instead: Record<number, string> = {}
    for (const { index, mnemonic, plain, operands } of lines) {
      instead[index] = `${mnemonic} ${plain.map((each, i) => exchanges[each] ?? operands[i] ?? '').join(',')}`
    }
    const image = scene.draft.changed({ instead })
    if (image === null) continue
    yield {
      weight: 0.95,
      image,
      address: first.address,
      found: 'high and low bytes are taken for each other',
      wanted: 'the low bytes first',
      message:
        'High and low bytes are taken for each other. The low byte of a word comes first: in memory it has the lower address, and in a sum its carry belongs into the high one.',
    }
  }
}

/** Two neighbouring bytes of a result, each in the other's place; with others wrong beside them it may be chance. */
function* reversedResult(scene: Scene): Generator<Sign> {
  for (const view of scene.views) {
    const wrong = view.wrongBytes
    const low = wrong.find((byte) => {
      const high = wrong.find(({ address }) => address === byte.address + 1)
      return high !== undefined && byte.found === high.wanted && high.found === byte.wanted && byte.found !== high.found
    })
    if (low === undefined || wrong.length > 6) continue
    const text = (a: number, b: number): string => `${byteDigits(a)} ${byteDigits(b)}`
    yield {
      ...seenAtEnd(view),
      weight: wrong.length === 2 ? 0.95 : 0.93,
      found: `${text(low.found, low.wanted)} at ${showWord(low.address)}`,
      wanted: text(low.wanted, low.found),
      message: `At ${showWord(low.address)} stand ${text(low.found, low.wanted)}, the two right bytes in each other’s place: ${text(low.wanted, low.found)} was wanted.`,
    }
    return
  }
}

export const keying: readonly Detector[] = [
  mistypedDigit,
  neighboursSwapped,
  byteMissing,
  byteExtra,
  decimalAndHex,
  bytesInWrongOrder,
]
