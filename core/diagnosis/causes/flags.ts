import { instructionUse } from '../../cpu/index.ts'
import { showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Scene } from './scene.ts'
import { atText, edited, idsOf, poked, seenAtEnd, type Edit, type Poke } from './signs.ts'

const carryBit = 0x01
const documented = 0xd7

/** What an instruction of the draft reads and writes. */
function useOf(scene: Scene, { address }: DraftLine): ReturnType<typeof instructionUse> {
  return instructionUse((offset) => scene.draft.byte(address + offset))
}

/** Bits of F that an instruction goes by; for the last one those that a check looks at. */
function flagsAsked(scene: Scene, line: DraftLine): number {
  const isLast = /^(RET|HALT)$/.test(line.mnemonic) && line.operands.length === 0
  if (isLast && scene.failedOf('flags').length > 0) return documented
  return line.mnemonic === 'PUSH' ? 0 : useOf(scene, line).flagsRead & documented
}

const flagClobbered: Detector = {
  id: 'flag-clobbered',
  title: 'A flag is changed before it is used',
  looksAt:
    'instructions between the one that sets a flag and the one that goes by it, which pass when left out or moved',
  *signs(scene) {
    const { lines } = scene.draft
    const edits = lines.flatMap((user, i): readonly Edit[] => {
      const asked = flagsAsked(scene, user)
      if (asked === 0) return []
      const writers = lines
        .slice(Math.max(0, i - 10), i)
        .filter((line) => (useOf(scene, line).flagsWritten & asked) !== 0)
      const last = writers.at(-1)
      const meant = writers.at(-2)
      if (last === undefined || meant === undefined) return []
      const common = {
        weight: 0.95,
        address: last.address,
        found: `the flags of ${atText(last)}`,
        wanted: `those of ${atText(meant)}`,
        message: `${atText(user)} goes by the flags, but ${atText(last)} sets them anew, so what ${atText(meant)} had left in them is gone.`,
      }
      const zero = /^(XOR|SUB) ?A$/.test(`${last.mnemonic} ${last.plain.at(-1) ?? ''}`)
      return [
        ...(zero ? [{ ...common, changes: { instead: { [last.index]: 'LD A,0' } } }] : []),
        { ...common, changes: { instead: { [last.index]: '' } } },
        { ...common, changes: { instead: { [last.index]: '' }, before: { [meant.index]: last.text } } },
      ]
    })
    yield* edited(scene, edits)
  },
}

const pairSetsNoFlag: Detector = {
  id: 'pair-sets-no-flag',
  title: 'Counting with a pair sets no flag',
  looksAt: 'a branch on Z behind INC or DEC of a pair, with nothing between that sets flags',
  *signs(scene) {
    const { lines } = scene.draft
    for (const [i, branch] of lines.entries()) {
      if (!/^N?Z$/.test(branch.plain[0] ?? '') || !/^(JR|JP|RET|CALL)$/.test(branch.mnemonic)) continue
      const before = lines.slice(Math.max(0, i - 4), i).toReversed()
      const count = before.find((line) => useOf(scene, line).flagsWritten !== 0 || isPairCount(line))
      if (count === undefined || !isPairCount(count)) continue
      const [pair = ''] = count.plain
      const halves = /^I[XY]$/.test(pair) ? [`${pair}H`, `${pair}L`] : [...pair]
      const common = {
        address: count.address,
        found: `${branch.text} goes by flags older than ${count.text}`,
        wanted: `a test of ${pair} for 0`,
        message: `${atText(branch)} is meant to look at the result of ${atText(count)}, but INC and DEC of a pair change no flag. Join the two halves in A with OR to see whether ${pair} is 0.`,
      }
      yield* edited(scene, [
        { ...common, weight: 0.97, changes: { before: { [i]: `LD A,${halves[0]}\nOR ${halves[1]}` } } },
      ])
      const fact = scene.main.firstAt(branch.address)
      if (fact !== null) yield { ...common, weight: 0.85, step: fact.step, t: fact.t }
    }
  },
}

function isPairCount({ mnemonic, plain }: DraftLine): boolean {
  return /^(INC|DEC)$/.test(mnemonic) && /^(BC|DE|HL|SP|IX|IY)$/.test(plain[0] ?? '')
}

const flagNotSet: Detector = {
  id: 'flag-not-set',
  title: 'The flag that is the answer is not set',
  looksAt: 'a flag that is asked for at the end, and a test before the end that sets it rightly',
  *signs(scene) {
    const failed = scene.failedOf('flags')
    if (failed.length === 0) return
    const ends = scene.draft.lines.filter(
      ({ mnemonic, operands }) => /^(RET|HALT)$/.test(mnemonic) && operands.length === 0,
    )
    const tests = ['OR A', 'SCF', 'CCF', 'INC A\nDEC A', ...[...'BCDEHL'].map((each) => `INC ${each}\nDEC ${each}`)]
    const view = scene.view(failed[0]?.result.decidedAt?.caseId ?? scene.mainCase)
    const last = view.own.findLast(({ use }) => (use.flagsWritten & documented) !== 0)
    const common = {
      found: last === undefined ? 'no instruction sets flags' : `the flags of ${last.text} at ${showWord(last.pc)}`,
      wanted: 'flags that come from the result',
      message: `The flag that the task asks for is what ${last === undefined ? 'chance left there' : `${last.text} at ${showWord(last.pc)} left`}. The last instruction that sets flags has to be one that looks at the result.`,
    }
    const edits = tests.flatMap((test) =>
      ends.map((end): Edit => ({
        ...common,
        weight: 0.93,
        address: last?.pc ?? end.address,
        changes: { before: { [end.index]: test } },
      })),
    )
    // Before the label: a jump to the end passes the test by, so both places are tried.
    const inside = edits.map((edit): Edit => ({ ...edit, changes: { inside: edit.changes.before ?? {} } }))
    yield* edited(scene, [...inside, ...edits])
    yield { ...seenAtEnd(view), weight: 0.55, ...common, checkIds: idsOf(failed) }
  },
}

/** Opcodes with the carry for those without it: ADD and ADC, SUB and SBC, and the shifts of CB. */
function withCarry(bytes: readonly number[]): Readonly<Record<number, number>> | null {
  const [first = 0, second = 0] = bytes
  if ((first & 0xf8) === 0x80 || (first & 0xf8) === 0x90) return { 0: first | 8 }
  if (first === 0xc6) return { 0: 0xce }
  if (first === 0xd6) return { 0: 0xde }
  // RLCA and RRCA; RLC, RRC, SLA, SRL.
  if (first === 0x07 || first === 0x0f) return { 0: first | 0x10 }
  if (first === 0xcb && (second & 0xf0) === 0x00) return { 1: second | 0x10 }
  if (first === 0xcb && ((second & 0xf8) === 0x20 || (second & 0xf8) === 0x38))
    return { 1: (second & 0x07) | ((second & 0xf8) === 0x20 ? 0x10 : 0x18) }
  return null
}

const carryLost: Detector = {
  id: 'carry-lost',
  title: 'The carry is lost',
  looksAt: 'additions, subtractions and shifts that pass with the carry taken in, or handed on to the next byte',
  *signs(scene) {
    const pokes = scene.sites.flatMap((site): readonly Poke[] => {
      const other = withCarry(site.bytes)
      if (other === null) return []
      const bytes = Object.fromEntries(
        Object.entries(other).map(([offset, byte]) => [site.address + Number(offset), byte]),
      )
      return [
        {
          weight: 0.955,
          address: site.address,
          bytes,
          found: `${site.text}, without the carry`,
          wanted: 'the carry of the byte before taken in',
          message: `${site.text} at ${showWord(site.address)} leaves out the carry of the byte before. What does not fit into one byte belongs into the next.`,
        },
      ]
    })
    yield* poked(scene, pokes)
    yield* edited(scene, carryEdits(scene))
  },
}

/** Behind an addition: count a high byte up where there is a carry, or add it in. */
function carryEdits(scene: Scene): readonly Edit[] {
  const { lines } = scene.draft
  return lines.flatMap((line, i): readonly Edit[] => {
    if (!/^(ADD|ADC|INC|DAA)$/.test(line.mnemonic) || /^(HL|IX|IY|BC|DE|SP)$/.test(line.plain[0] ?? '')) return []
    const telling = {
      weight: 0.925,
      address: line.address,
      found: `nothing behind ${atText(line)} goes by the carry`,
      wanted: 'the carry counted into the next byte',
      message: `${atText(line)} leaves a carry where the sum does not fit into a byte, and nothing takes it up. It has to be counted into the next byte.`,
    }
    const next = lines[i + 1]
    const isStored = next?.mnemonic === 'LD' && next.plain[1] === 'A'
    const places = isStored ? [i, i + 1] : [i]
    const wide = scene.draft.lines.some(({ mnemonic, plain }) => mnemonic === 'ADD' && plain[0] === 'HL')
    const counts = [...(wide ? 'BCDE' : 'BCDEHL')].map((each) => `JR NC,$+3\nINC ${each}`)
    return places.flatMap((place) => [
      ...counts.map((text): Edit => ({ ...telling, changes: { after: { [place]: text } } })),
      ...(lines[place + 1]?.mnemonic === 'LD' ? [{ ...telling, changes: { after: { [place + 1]: 'ADC A,0' } } }] : []),
    ])
  })
}

const carryNotCleared: Detector = {
  id: 'carry-not-cleared',
  title: 'A carry from before is taken in',
  looksAt: 'ADC, SBC and rotations that pass when the carry is 0 before them, or left out of them',
  *signs(scene) {
    const lines = scene.draft.lines.filter(
      (line) => line.mnemonic !== 'PUSH' && (useOf(scene, line).flagsRead & carryBit) !== 0,
    )
    const users = lines.filter(({ mnemonic }) => /^(ADC|SBC|RLA?|RRA?|DAA)$/.test(mnemonic))
    const edits = users.flatMap((line): readonly Edit[] => {
      const telling = {
        weight: 0.955,
        address: line.address,
        found: `${atText(line)} takes in a carry that is left from before`,
        wanted: 'carry 0 there',
        message: `${atText(line)} takes in the carry, and at that place the carry is whatever an earlier instruction, or chance, has left. Use the form without carry, or clear the carry first.`,
      }
      const plain: Readonly<Record<string, string>> = { ADC: 'ADD', SBC: 'SUB' }
      const other = plain[line.mnemonic]
      const operands = other === 'SUB' ? line.operands.slice(-1) : line.operands
      const isWord = line.plain[0] === 'HL'
      return [
        ...(other !== undefined && !(isWord && other === 'SUB')
          ? [{ ...telling, changes: { instead: { [line.index]: `${other} ${operands.join(',')}` } } }]
          : []),
        { ...telling, changes: { inside: { [line.index]: 'OR A' } } },
        { ...telling, changes: { before: { [loopStart(scene, line)]: 'OR A' } } },
      ]
    })
    yield* edited(scene, edits)
  },
}

/** The labelled instruction nearest before, where a loop round this one may begin. */
function loopStart({ draft }: Scene, line: DraftLine): number {
  return draft.lines.findLast(({ index, label }) => index <= line.index && label !== null)?.index ?? 0
}

const decimalAdjustMissing: Detector = {
  id: 'decimal-adjust-missing',
  title: 'The decimal adjustment is missing',
  looksAt: 'DAA that the task asks for or that passes behind an addition or subtraction',
  *signs(scene) {
    const missing = scene.failedOf('required-instruction').filter(({ check }) => /"DAA/.test(JSON.stringify(check)))
    const adds = scene.draft.lines.filter(
      ({ mnemonic, plain }) =>
        /^(ADD|ADC|SUB|SBC|INC|DEC|NEG)$/.test(mnemonic) && (plain.length < 2 || plain[0] === 'A'),
    )
    const next = (line: DraftLine): string => scene.draft.lines[line.index + 1]?.mnemonic ?? ''
    const edits = adds
      .filter((line) => next(line) !== 'DAA')
      .map((line): Edit => ({
        weight: 0.965,
        address: line.address,
        found: `${atText(line)} with no DAA behind it`,
        wanted: 'a result of decimal digits',
        message: `${atText(line)} calculates in binary: 09h + 01h is 0Ah. Numbers kept in decimal digits need DAA right behind each addition, so that it becomes 10h.`,
        changes: { after: { [line.index]: 'DAA' } },
      }))
    // DAA sets flags too: where only flags are asked for it would pass by chance.
    const isNumber = scene.failedResults.some(({ check }) => check.kind !== 'flags')
    // A task whose model answer adjusts nothing has no decimal numbers.
    const isDecimal =
      scene.modelLines.length === 0 || scene.modelLines.some(({ text }) => text === 'DAA') || missing.length > 0
    if (isNumber && isDecimal) yield* edited(scene, edits, true)
    yield* binaryCount(scene)
    const [add] = scene.draft.lines.filter(({ mnemonic }) => /^(ADD|ADC|INC)$/.test(mnemonic))
    if (missing.length === 0) return
    yield {
      weight: 0.96,
      address: add?.address ?? null,
      found: 'no DAA is executed',
      wanted: 'DAA behind each addition of decimal digits',
      message:
        'The sum is left in binary. Numbers kept in decimal digits need DAA behind each addition of a byte, and DAA works on A alone: a pair cannot be adjusted.',
    }
  },
}

/** The model answer adjusts decimal digits and the hand-in, which adds too, never does. */
function* binaryCount(scene: Scene): Generator<Sign> {
  const count = (lines: readonly DraftLine[]): number => lines.filter(({ mnemonic }) => mnemonic === 'DAA').length
  const { lines } = scene.draft
  const own = count(lines)
  const isBinary = ({ index, mnemonic, plain }: DraftLine): boolean =>
    /^(ADD|ADC|INC)$/.test(mnemonic) &&
    /^(A|\(HL\)|B|C|D|E)$/.test(plain[0] ?? '') &&
    lines[index + 1]?.mnemonic !== 'DAA'
  const add = lines.find((line) => isBinary(line) && (line.mnemonic !== 'INC' || own === 0))
  if (add === undefined || count(scene.modelLines) <= own || !scene.isFunctionWrong) return
  yield {
    weight: own === 0 ? 0.94 : 0.9,
    address: add.address,
    found: `${atText(add)} with no DAA behind it`,
    wanted: 'decimal digits: 10h after 09h',
    message: `${atText(add)} counts in binary, so 0Ah comes after 09h. A number kept in decimal digits needs DAA right behind each addition.`,
  }
}

export const flags: readonly Detector[] = [
  flagClobbered,
  pairSetsNoFlag,
  flagNotSet,
  carryLost,
  carryNotCleared,
  decimalAdjustMissing,
]
