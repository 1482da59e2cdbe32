import { readProgram, type Program } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import type { Addr } from '../../../../core/cpu/index.ts'
import { Draft, type Changes, type DraftLine } from '../../../../core/diagnosis/causes/draft.ts'
import { editedImage, type ByteEdit } from '../../../../core/edits/edit.ts'
import { madeProgram } from '../../../../core/trial/made-program.ts'
import type { Exercise } from '../../../../core/exercise/index.ts'
import { staffReadOptionsFor } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import type { Random } from '../../../../core/run/index.ts'

/** A right answer with one slip made in it by a rule, and where the slip is. */
export interface RuleSlip {
  readonly rule: string
  readonly what: string
  readonly program: Program
  /** Of the spoiled instruction or byte, as the spoiled program has it; of a missing one, what stands behind it. */
  readonly at: Addr
  /** Line of the text; null in a program of bytes. */
  readonly line: number | null
}

interface Place {
  readonly what: string
  readonly line: DraftLine
  readonly changes?: Changes
  readonly byte?: ByteEdit
}

interface Rule {
  readonly name: string
  readonly places: (draft: Draft, random: Random) => readonly Place[]
}

function everyByte(
  { lines, image }: Draft,
  editAt: (at: Addr, found: number, next: number | null) => ByteEdit | null,
): readonly Place[] {
  const byteOf = new Map(image.segments.flatMap(({ start, bytes }) => [...bytes].map((byte, i) => [start + i, byte])))
  return [...byteOf].flatMap(([at, found]) => {
    const line = lines.findLast(({ address }) => address <= at)
    const byte = editAt(at, found, byteOf.get(at + 1) ?? null)
    return line === undefined || byte === null ? [] : [{ what: `${byte.kind} at ${at.toString(16)}`, line, byte }]
  })
}

function everyLine({ lines }: Draft, to: (line: DraftLine, index: number) => string | null): readonly Place[] {
  return lines.flatMap((line, index) => {
    const text = to(line, index)
    const changes = { instead: { [index]: text ?? '' } }
    return text === null ? [] : [{ what: `${line.text} -> ${text === '' ? 'left out' : text}`, line, changes }]
  })
}

const flipped: Readonly<Record<string, string>> = { NZ: 'Z', Z: 'NZ', NC: 'C', C: 'NC', P: 'M', M: 'P' }
const jumps = /^(JR|JP|CALL|RET|DJNZ)$/
const registers = ['A', 'B', 'C', 'D', 'E', 'H', 'L']
const pairs = ['BC', 'DE', 'HL']
const isName = (operand: string): boolean => /^[A-Z_][A-Z0-9_]{2,}$/i.test(operand)
const isNumber = (operand: string): boolean => /^\(?\d[0-9A-F]*H?\)?$/i.test(operand)

/** Another of the operands' family at one place, drawn. */
function otherOperand(line: DraftLine, random: Random, family: readonly string[]): string | null {
  const at = line.plain.map((operand, i) => (family.includes(operand) ? i : -1)).filter((i) => i >= 0)
  const which = at[random.under(at.length || 1)]
  if (which === undefined || jumps.test(line.mnemonic)) return null
  const others = family.filter((each) => each !== line.plain[which])
  const other = others[random.under(others.length)] ?? ''
  return `${line.mnemonic} ${line.operands.with(which, other).join(',')}`
}

function withNumber(line: DraftLine, is: (operand: string) => boolean, to: (inner: string) => string): string | null {
  const which = line.operands.findIndex(is)
  const operand = line.operands[which]
  if (operand === undefined) return null
  const inner = /^\((.*)\)$/.exec(operand)?.[1]
  const changed = inner === undefined ? to(operand) : `(${to(inner)})`
  return `${line.mnemonic} ${line.operands.with(which, changed).join(',')}`
}

/** Five rules for bytes and seven for text. None is taken from a detector of the cause finder. */
export const rules: readonly Rule[] = [
  {
    name: 'digit wrong',
    places: (draft, random) =>
      everyByte(draft, (at, found) => {
        const wouldBe =
          random.under(2) === 0 ? (found & 0xf0) | random.under(16) : (random.under(16) << 4) | (found & 15)
        return wouldBe === found ? null : { kind: 'replace', at, found, wouldBe }
      }),
  },
  {
    name: 'digits swapped',
    places: (draft) =>
      everyByte(draft, (at, found) => {
        const wouldBe = ((found << 4) | (found >> 4)) & 0xff
        return wouldBe === found ? null : { kind: 'replace', at, found, wouldBe }
      }),
  },
  { name: 'byte left out', places: (draft) => everyByte(draft, (at, found) => ({ kind: 'remove', at, found })) },
  {
    name: 'byte doubled',
    places: (draft) => everyByte(draft, (at, wouldBe) => ({ kind: 'insert', at, wouldBe })),
  },
  {
    name: 'bytes exchanged',
    places: (draft) =>
      everyByte(draft, (at, found, next) =>
        next === null || next === found ? null : { kind: 'swap', at, found: [found, next] },
      ),
  },
  { name: 'instruction left out', places: (draft) => everyLine(draft, () => '') },
  {
    name: 'instructions exchanged',
    places: ({ lines }) =>
      lines.slice(0, -1).flatMap((line, index) => {
        const next = lines[index + 1]
        const changes = { instead: { [index]: next?.text ?? '', [index + 1]: line.text } }
        return next === undefined || next.text === line.text
          ? []
          : [{ what: `${line.text} / ${next.text}`, line, changes }]
      }),
  },
  {
    name: 'wrong register',
    places: (draft, random) =>
      everyLine(draft, (line) => otherOperand(line, random, registers) ?? otherOperand(line, random, pairs)),
  },
  {
    name: 'condition flipped',
    places: (draft) =>
      everyLine(draft, ({ mnemonic, operands, plain: [first = ''] }) => {
        const other = jumps.test(mnemonic) ? flipped[first] : undefined
        return other === undefined ? null : `${mnemonic} ${operands.with(0, other).join(',')}`
      }),
  },
  {
    name: 'constant one off',
    places: (draft, random) =>
      everyLine(draft, (line) =>
        withNumber(line, isNumber, (inner) => `${inner}${random.under(2) === 0 ? '+1' : '-1'}`),
      ),
  },
  {
    name: 'label one off',
    places: (draft, random) =>
      everyLine(draft, (line) =>
        /^(JR|JP|CALL|DJNZ|LD)$/.test(line.mnemonic)
          ? withNumber(
              line,
              (operand) => isName(operand.replace(/^\(|\)$/g, '')),
              (inner) => `${inner}${random.under(2) === 0 ? '+1' : '-1'}`,
            )
          : null,
      ),
  },
  {
    name: 'initialisation missing',
    places: (draft) =>
      everyLine(draft, ({ mnemonic, plain: [to = '', from = ''] }) =>
        (mnemonic === 'LD' && registers.concat(pairs).includes(to) && isNumber(from)) ||
        (mnemonic === 'XOR' && to === 'A')
          ? ''
          : null,
      ),
  },
]

/** One slip of each rule for which the answer has room, at places drawn by `random`; only those that lose marks. */
export function ruleSlips(answer: Program, exercise: Exercise, random: Random): readonly RuleSlip[] {
  const options = staffReadOptionsFor(exercise, benchEight)
  const draft = new Draft(answer, options)
  return rules.flatMap(({ name, places }): readonly RuleSlip[] => {
    const all = [...places(draft, random)]
    for (let tries = 0; all.length > 0 && tries < 12; tries++) {
      const [place] = all.splice(random.under(all.length), 1)
      const slip = place === undefined ? null : made(draft, answer, place, options)
      if (slip === null) continue
      const { isFullMarks, status } = gradeProgram(slip.program, exercise, benchEight)
      if (status === 'graded' && !isFullMarks) return [{ rule: name, ...slip }]
    }
    return []
  })
}

function made(
  draft: Draft,
  answer: Program,
  { what, line, changes, byte }: Place,
  options: ReturnType<typeof staffReadOptionsFor>,
): Omit<RuleSlip, 'rule'> | null {
  if (byte !== undefined) {
    const image = editedImage(draft.image, byte)
    return image === null ? null : { what, program: madeProgram(image, answer.entry, options), at: byte.at, line: null }
  }
  const text = changes === undefined ? null : draft.textAfter(changes)
  const program = text === null ? null : readProgram({ format: 'assembly', text }, options)
  return program?.isOk === true ? { what, program, at: line.address, line: line.line } : null
}
