import { showByte, showWord } from '../../image/index.ts'
import { isCount } from './counts.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Scene } from './scene.ts'
import { atText, edited, poked, seenAt, shown, type Edit, type Poke } from './signs.ts'

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

const pairs = ['HL', 'DE', 'BC', 'IX', 'IY']

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
    yield* storedBeside(scene)
  },
}

/** Nothing is written where the model answer leaves a result, and something to the place beside it that it leaves alone. */
function* storedBeside(scene: Scene): Generator<Sign> {
  for (const view of scene.views) {
    const wrong = view.wrongBytes
    const missing = wrong.filter(
      ({ address, found, wanted, initial }) =>
        found === initial && wanted !== initial && view.lastWriter(address) === null,
    )
    for (const { address, wanted } of missing) {
      const beside = wrong.find((byte) => Math.abs(byte.address - address) === 1 && byte.wanted === byte.initial)
      const writer = beside === undefined ? null : view.lastWriter(beside.address)
      if (beside === undefined || writer === null || !/^LD \(\d/.test(writer.text)) continue
      yield {
        ...seenAt(view, writer),
        weight: 0.935,
        found: `${writer.text} writes to ${showWord(beside.address)}`,
        wanted: `${showByte(wanted)} at ${showWord(address)}`,
        message: `${writer.text} at ${showWord(writer.pc)} writes to ${showWord(beside.address)}, where nothing should change, and ${showWord(address)} beside it stays as it was. The address is one off.`,
      }
      return
    }
  }
}

function pointerEdits({ draft }: Scene): readonly Edit[] {
  const { lines } = draft
  const used = pairs.filter((pair) => lines.some(({ text }) => text.toUpperCase().includes(pair)))
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
  const moves = lines.filter(({ mnemonic, plain }) => /^(INC|DEC)$/.test(mnemonic) && pairs.includes(plain[0] ?? ''))
  const dropped = moves.map((line): Edit => ({
    weight: 0.91,
    ...telling(line, line.plain[0] ?? '', line.mnemonic === 'INC' ? 'DEC' : 'INC'),
    changes: { instead: { [line.index]: '' } },
  }))
  return [...before, ...dropped]
}

/** Addresses that are not the ones meant. */
export const pointers: readonly Detector[] = [valueAndContents, addressOffByOne]
