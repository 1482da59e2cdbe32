import type { Program, ReadOptions } from '../assembler/index.ts'
import { Editable, type SourceEdit } from './editable.ts'
import type { SourceInstruction } from './source-text.ts'
import { changesOf, otherConditions, otherNumbers, sistersOf, type InstructionChange } from './operand-changes.ts'

/** An edit and how likely its sort is: 0 the likeliest. */
export interface LikelyEdit extends SourceEdit {
  readonly tier: number
}

/** Instructions that are forgotten in any program (common practice, no source). */
const oftenForgotten = ['RET', 'HALT', 'EI', 'DI', 'OR A', 'XOR A', 'SCF', 'DAA', 'EX DE,HL', 'EXX']
const halves = ['A', 'B', 'C', 'D', 'E', 'H', 'L']
const pairs = ['BC', 'DE', 'HL']
/** Counts that small programs have. */
const smallCounts = Array.from({ length: 16 }, (_, i) => String(i + 1))

/**
 * Edits of single instructions, likely slips first, those of each tier through the whole program before the next. `answer`,
 * where it is given, is asked for instructions that the program lacks.
 *
 * 0: the condition flipped, a number one off, the end missing.
 * 1: neighbours exchanged; a number read in the other base, halved or doubled; an instruction of the answer in place of a like one.
 * 2: another register, value for contents, a sister operation; an instruction of the answer put in.
 * 3: left out, other conditions, two off.
 * 4: a number that stands elsewhere in the program or the answer; what is often forgotten put in.
 * 5: moves, counts, stores of the program's own places, jumps to its labels put in.
 */
export function* likelyEdits(program: Program, options: ReadOptions, answer: Program | null): Generator<LikelyEdit> {
  const editable = Editable.of(program, options)
  if (editable === null) return
  const other = answer === null ? null : Editable.of(answer, options)
  for (const [tier, edits] of tiersOf(editable, other).entries()) {
    for (const edit of edits()) if (edit !== null) yield { ...edit, tier }
  }
}

/** Instructions of the answer that a program may lack and still be its like. */
const fewLacking = 4

type Edits = () => Generator<SourceEdit | null>

function tiersOf(editable: Editable, other: Editable | null): readonly Edits[] {
  const { instructions } = editable
  const last = instructions.length - 1
  const lacking = other === null ? [] : lackingFrom(editable, other)
  const numbers = [...new Set([...numbersOf(editable), ...(other === null ? [] : numbersOf(other))])]
  const labels = instructions.flatMap(({ label }) => (label === null ? [] : [label]))

  function* changes(of: (index: number) => Iterable<InstructionChange>): Generator<SourceEdit | null> {
    for (const i of instructions.keys()) {
      for (const { kind, wouldBe } of of(i)) yield editable.changed(i, kind, wouldBe)
    }
  }
  const ofKind = (index: number, is: (change: InstructionChange) => boolean): readonly InstructionChange[] => {
    const instruction = instructions[index]
    return instruction === undefined ? [] : [...changesOf(instruction)].filter(is)
  }
  const from = (index: number, of: (each: (typeof instructions)[number]) => Iterable<InstructionChange>) => {
    const instruction = instructions[index]
    return instruction === undefined ? [] : of(instruction)
  }
  function* put(texts: readonly string[]): Generator<SourceEdit | null> {
    for (const text of texts) {
      for (const [i, { label }] of instructions.entries()) {
        if (label !== null) yield editable.inserted(i, text, 'before')
        yield editable.inserted(i, text, 'inside')
      }
      yield editable.inserted(last, text, 'after')
    }
  }
  return [
    function* () {
      yield* changes((i) => ofKind(i, ({ kind }) => kind === 'condition'))
      yield editable.inserted(last, 'HALT', 'after')
      yield editable.inserted(last, 'RET', 'after')
      yield* changes((i) => ofKind(i, (change) => change.kind === 'operand' && isByOne(change)))
    },
    function* () {
      for (const i of instructions.keys()) yield editable.exchanged(i)
      yield* changes((i) => from(i, (each) => otherNumbers(each, [])))
      yield* changes((i) =>
        lacking.filter((each) => isLike(instructions[i], each)).map((each) => inPlaceOf(instructions[i], each)),
      )
    },
    function* () {
      // An answer that goes another way has many that the program lacks, and each may stand anywhere.
      const isClose = lacking.length <= fewLacking
      if (isClose) yield* put(lacking.map(({ text }) => text))
      yield* changes((i) => ofKind(i, ({ kind }) => kind === 'register' || kind === 'form'))
      yield* changes((i) => from(i, sistersOf))
      if (!isClose) yield* put(lacking.map(({ text }) => text))
    },
    function* () {
      yield* changes((i) => ofKind(i, ({ kind }) => kind === 'dropped'))
      yield* changes((i) => from(i, otherConditions))
      yield* changes((i) => ofKind(i, (change) => change.kind === 'operand' && !isByOne(change)))
    },
    function* () {
      yield* put(oftenForgotten)
      yield* changes((i) => from(i, (each) => otherNumbers(each, numbers)))
      yield* changes((i) => lacking.map((each) => inPlaceOf(instructions[i], each)))
    },
    function* () {
      yield* put(pool(editable, numbers, labels))
    },
  ]
}

/** An instruction of the answer instead: another operation, or the same with another register or number. */
function inPlaceOf(own: SourceInstruction | undefined, { text, mnemonic, first }: Lacking): InstructionChange {
  if (own?.mnemonic !== mnemonic) return { kind: 'operation', wouldBe: text }
  return { kind: own.operands[0] === first ? 'operand' : 'register', wouldBe: text }
}

function isByOne({ wouldBe }: InstructionChange): boolean {
  return /[+-]1\)?(,|$)/.test(wouldBe ?? '')
}

interface Lacking {
  readonly text: string
  readonly mnemonic: string
  readonly first: string
}

/** Instructions of the answer that the program has not, or fewer times; those that name the answer's labels left out. */
function lackingFrom(editable: Editable, other: Editable): readonly Lacking[] {
  const key = (of: Editable, text: string): string | null => {
    const item = of.encoded(text)
    return item === null || item.references.length > 0 ? null : item.bytes.join()
  }
  const own = new Map<string, number>()
  for (const i of editable.instructions.keys()) {
    const bytes = key(editable, editable.textAt(i))
    if (bytes !== null) own.set(bytes, (own.get(bytes) ?? 0) + 1)
  }
  const lacking = new Map<string, Lacking>()
  for (const [i, { mnemonic, operands }] of other.instructions.entries()) {
    const text = other.textAt(i)
    const bytes = key(other, text)
    if (bytes === null) continue
    const left = own.get(bytes) ?? 0
    own.set(bytes, left - 1)
    // As the program would read it: a name of the answer's own is no name there.
    if (left <= 0 && key(editable, text) === bytes) lacking.set(bytes, { text, mnemonic, first: operands[0] ?? '' })
  }
  return [...lacking.values()]
}

/** The same operation, or one with the same first operand. */
function isLike(own: SourceInstruction | undefined, { mnemonic, first }: Lacking): boolean {
  return own?.mnemonic === mnemonic || (first !== '' && own?.operands[0] === first)
}

/** Numbers and names of places as they are written in a program, without the labels of its instructions. */
function numbersOf({ instructions }: Editable): readonly string[] {
  const labels = new Set(instructions.flatMap(({ label }) => (label === null ? [] : [label.toUpperCase()])))
  const operands = instructions.flatMap(({ mnemonic, operands: all }) =>
    /^(JR|JP|CALL|DJNZ|RET)$/.test(mnemonic) ? [] : all.map((operand) => operand.replace(/^\((.*)\)$/, '$1')),
  )
  return operands.filter(
    (operand) => /^(\d[0-9A-F]*H?|[A-Z_][A-Z0-9_]{2,})$/i.test(operand) && !labels.has(operand.toUpperCase()),
  )
}

function pool(editable: Editable, numbers: readonly string[], labels: readonly string[]): readonly string[] {
  const { instructions } = editable
  const used = new Set(instructions.flatMap(({ operands }) => operands.map((operand) => operand.toUpperCase())))
  // A register that the program never names is no slip of it.
  const own = halves.filter((half) => used.has(half) || pairs.some((pair) => pair.includes(half) && used.has(pair)))
  const ownPairs = pairs.filter((pair) => used.has(pair) || [...pair].some((half) => used.has(half)))
  const written = [...new Set(instructions.map((_, i) => editable.textAt(i)))].filter(
    (text) => !/^(JR|JP|DJNZ)/.test(text),
  )
  return [
    ...own.map((half) => `LD ${half},0`),
    ...ownPairs.map((pair) => `LD ${pair},0`),
    ...own.flatMap((half) => [`INC ${half}`, `DEC ${half}`]),
    ...ownPairs.flatMap((pair) => [`INC ${pair}`, `DEC ${pair}`, `PUSH ${pair}`, `POP ${pair}`]),
    ...['PUSH AF', 'POP AF'],
    ...written,
    ...ownPairs.map((pair) => `ADD HL,${pair}`),
    ...numbers.flatMap((number) => [
      ...own.map((half) => `LD ${half},${number}`),
      ...ownPairs.map((pair) => `LD ${pair},${number}`),
    ]),
    ...ownPairs.flatMap((pair) => [`LD (${pair}),A`, `LD A,(${pair})`]),
    ...numbers.flatMap((number) => [`LD (${number}),A`, `LD A,(${number})`, `LD (${number}),HL`, `LD HL,(${number})`]),
    ...own.flatMap((to) => own.filter((half) => half !== to).map((half) => `LD ${to},${half}`)),
    ...own.flatMap((half) => [`OR ${half}`, `CP ${half}`, `AND ${half}`, `ADD A,${half}`, `SUB ${half}`]),
    ...own.flatMap((half) => smallCounts.map((count) => `LD ${half},${count}`)),
    ...labels.flatMap((label) => ['NZ,', 'Z,', 'NC,', 'C,', ''].map((condition) => `JR ${condition}${label}`)),
    ...labels.flatMap((label) => [`DJNZ ${label}`, `CALL ${label}`]),
  ]
}
