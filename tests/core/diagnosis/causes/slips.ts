import { readProgram, type Program, type ReadOptions } from '../../../../core/assembler/index.ts'
import { benchEight } from '../../../../core/board/index.ts'
import type { CauseId } from '../../../../core/diagnosis/index.ts'
import { Draft, type Changes, type DraftLine } from '../../../../core/diagnosis/causes/draft.ts'
import { likelyBytes } from '../../../../core/edits/byte-edits.ts'
import { editedImage, type ByteEdit } from '../../../../core/edits/edit.ts'
import { madeProgram } from '../../../../core/trial/made-program.ts'
import { exerciseFor, modelProgram, staffReadOptionsFor, type Exercise } from '../../../../core/exercise/index.ts'
import { gradeProgram } from '../../../../core/grading/index.ts'
import type { Image } from '../../../../core/image/index.ts'
import { Random } from '../../../../core/run/index.ts'

/** A model answer with a mistake of a known kind made in it by a rule. */
export interface Slip {
  readonly causeId: CauseId
  readonly what: string
  readonly program: Program
}

/** A way of spoiling a program: every place at which it can be done, as text changes or as bytes. */
interface Spoiling {
  readonly causeId: CauseId
  readonly places: (
    draft: Draft,
  ) => readonly { readonly what: string; readonly changes?: Changes; readonly image?: Image }[]
}

const isPlain = ({ operands }: DraftLine): boolean => operands.length === 0

function changed(
  causeId: CauseId,
  is: (line: DraftLine, lines: readonly DraftLine[]) => boolean,
  to: (line: DraftLine) => string,
): Spoiling {
  return {
    causeId,
    places: ({ lines }) =>
      lines
        .filter((line) => is(line, lines))
        .map((line) => ({
          what: `${line.text} -> ${to(line) || 'left out'}`,
          changes: { instead: { [line.index]: to(line) } },
        })),
  }
}

function poked(
  causeId: CauseId,
  is: (line: DraftLine) => boolean,
  offset: number,
  to: (byte: number) => number | null,
): Spoiling {
  return {
    causeId,
    places: (draft) =>
      draft.lines.filter(is).flatMap(({ address, text }) => {
        const byte = to(draft.byte(address + offset))
        return byte === null
          ? []
          : [{ what: `${text}: ${byte}`, image: draft.poked({ [address + offset]: byte & 0xff }) }]
      }),
  }
}

function keyed(causeId: CauseId, edits: (draft: Draft) => readonly ByteEdit[]): Spoiling {
  return {
    causeId,
    places: (draft) =>
      edits(draft).flatMap((edit) => {
        const image = editedImage(draft.image, edit)
        return image === null ? [] : [{ what: `${edit.kind} at ${edit.at}`, image }]
      }),
  }
}

const isJump = ({ mnemonic }: DraftLine): boolean => /^(JR|DJNZ)$/.test(mnemonic)
const value = (operand: string): number => {
  const text = operand.toUpperCase()
  return text.endsWith('H') ? Number.parseInt(text, 16) : Number(text)
}
const swaps: Readonly<Record<string, string>> = { NZ: 'Z', Z: 'NZ', NC: 'C', C: 'NC' }
const counts = (line: DraftLine, lines: readonly DraftLine[]): boolean =>
  line.mnemonic === 'LD' &&
  line.plain[0] === 'B' &&
  value(line.plain[1] ?? '') > 2 &&
  lines.some(({ mnemonic }) => mnemonic === 'DJNZ')

export const spoilings: readonly Spoiling[] = [
  poked('displacement-off', isJump, 1, (byte) => byte + 1),
  poked('displacement-from-opcode', isJump, 1, (byte) => byte + 2),
  poked('displacement-sign', isJump, 1, (byte) => (byte >= 0x80 && byte !== 0xfe ? -byte : null)),
  {
    causeId: 'bytes-in-wrong-order',
    places: (draft) =>
      draft.lines
        .filter(
          ({ mnemonic, plain }) =>
            mnemonic === 'LD' && /^\(?[0-9][0-9A-F]{3,4}H\)?$/.test(plain.find((each) => /\d{2}/.test(each)) ?? ''),
        )
        .filter(({ address }) => [0x21, 0x11, 0x01, 0x3a, 0x32, 0x22, 0x2a].includes(draft.byte(address)))
        .map(({ address, text }) => {
          const [low, high] = [draft.byte(address + 1), draft.byte(address + 2)]
          return { what: `${text}: halves exchanged`, image: draft.poked({ [address + 1]: high, [address + 2]: low }) }
        }),
  },
  changed(
    'value-and-contents',
    ({ mnemonic, plain }) =>
      mnemonic === 'LD' && /^(A|HL|BC|DE)$/.test(plain[0] ?? '') && /^\(?\d[0-9A-F]*H?\)?$/.test(plain[1] ?? ''),
    ({ operands: [to = '', from = ''] }) => `LD ${to},${from.startsWith('(') ? from.slice(1, -1) : `(${from})`}`,
  ),
  changed(
    'decimal-and-hex',
    ({ mnemonic, plain }) => mnemonic === 'LD' && /^[A-EHL]$/.test(plain[0] ?? '') && /^[1-9]\d$/.test(plain[1] ?? ''),
    ({ operands: [to = '', from = ''] }) => `LD ${to},${from}h`,
  ),
  changed(
    'stack-imbalance',
    ({ mnemonic }) => mnemonic === 'POP',
    () => '',
  ),
  changed('count-off-by-one', counts, ({ operands: [to = '', from = ''] }) => `LD ${to},${from}-1`),
  changed('count-off-by-one', counts, ({ operands: [to = '', from = ''] }) => `LD ${to},${from}+1`),
  changed(
    'condition-flipped',
    ({ mnemonic, plain }) => /^(JR|JP|RET)$/.test(mnemonic) && (plain[0] ?? '') in swaps,
    ({ mnemonic, operands: [first = '', ...rest] }) => `${mnemonic} ${[swaps[first.toUpperCase()], ...rest].join(',')}`,
  ),
  changed(
    'copy-direction',
    ({ mnemonic }) => /^LD[ID]R$/.test(mnemonic),
    ({ mnemonic }) => (mnemonic === 'LDIR' ? 'LDDR' : 'LDIR'),
  ),
  changed(
    'no-end',
    (line, lines) => line === lines.at(-1) && /^(HALT|RET)$/.test(line.mnemonic) && isPlain(line),
    () => '',
  ),
  changed(
    'wrong-end',
    (line) => line.mnemonic === 'HALT',
    () => 'RET',
  ),
  changed(
    'wrong-port',
    ({ mnemonic }) => mnemonic === 'OUT',
    ({ operands: [port = '', from = ''] }) => `OUT (${port.slice(1, -1)}+1),${from}`,
  ),
  changed(
    'carry-lost',
    ({ mnemonic, plain }) => mnemonic === 'ADC' && plain[0] === 'A',
    ({ operands }) => `ADD ${operands.join(',')}`,
  ),
  changed(
    'carry-not-cleared',
    ({ mnemonic, plain }) => mnemonic === 'ADD' && plain[0] === 'A',
    ({ operands }) => `ADC ${operands.join(',')}`,
  ),
  changed(
    'decimal-adjust-missing',
    ({ mnemonic }) => mnemonic === 'DAA',
    () => '',
  ),
  changed(
    'ei-missing',
    ({ mnemonic }) => mnemonic === 'EI',
    () => '',
  ),
  changed(
    'routine-not-called',
    ({ mnemonic, plain }) => mnemonic === 'CALL' && /^(PAINT|GLYPH|GETKEY)$/.test(plain[0] ?? ''),
    () => '',
  ),
  changed(
    'not-initialised',
    ({ mnemonic, plain }) => mnemonic === 'LD' && /^[B-EHL]+$/.test(plain[0] ?? '') && /^0+H?$/.test(plain[1] ?? ''),
    () => '',
  ),
  changed(
    'address-off-by-one',
    ({ mnemonic, plain }) =>
      mnemonic === 'LD' &&
      /^(HL|DE|\(4[67][0-9A-F]{2}H\))$/.test(plain[0] ?? '') &&
      plain.some((each) => /^\(?4[67][0-9A-F]{2}H\)?$/.test(each)),
    ({ operands }) =>
      `LD ${operands.map((each) => each.replace(/4[67][0-9A-F]{2}h/i, (address) => `${address}+1`)).join(',')}`,
  ),
  changed(
    'result-not-stored',
    ({ mnemonic, plain }) => mnemonic === 'LD' && /^\(4[67][0-9A-F]{2}H\)$/.test(plain[0] ?? ''),
    () => '',
  ),
  {
    causeId: 'flag-clobbered',
    places: ({ lines }) =>
      lines
        .filter(
          ({ mnemonic, plain }) =>
            mnemonic === 'ADC' || (/^(JR|JP|RET)$/.test(mnemonic) && /^N?C$/.test(plain[0] ?? '')),
        )
        .map(({ index, text }) => ({ what: `OR A before ${text}`, changes: { inside: { [index]: 'OR A' } } })),
  },
  keyed('mistyped-digit', (draft) =>
    draft.lines.flatMap(({ address }): readonly ByteEdit[] => {
      const found = draft.byte(address)
      const [wouldBe = 0] = likelyBytes(found)
      return [{ kind: 'replace', at: address, found, wouldBe }]
    }),
  ),
  keyed('byte-missing', (draft) =>
    draft.lines
      .slice(0, -1)
      .map(({ address }): ByteEdit => ({ kind: 'remove', at: address, found: draft.byte(address) })),
  ),
  keyed('byte-extra', (draft) =>
    draft.lines.map(({ address }): ByteEdit => ({ kind: 'insert', at: address, wouldBe: draft.byte(address) })),
  ),
  keyed('neighbours-swapped', (draft) =>
    draft.lines.slice(1).flatMap(({ address }): readonly ByteEdit[] => {
      const found: readonly [number, number] = [draft.byte(address - 1), draft.byte(address)]
      return found[0] === found[1] ? [] : [{ kind: 'swap', at: address - 1, found }]
    }),
  ),
]

/** One slip of each kind that a model answer has room for, at a place decided by the seed; only those that lose marks. */
export function slipsOf(exercise: Exercise, seed: number): readonly Slip[] {
  const model = modelProgram(exercise, benchEight)
  if (model === null) return []
  const options = staffReadOptionsFor(exerciseFor(exercise, 0), benchEight)
  const draft = new Draft(model, options)
  const random = new Random(seed)
  return spoilings.flatMap(({ causeId, places }): readonly Slip[] => {
    const all = [...places(draft)]
    while (all.length > 0) {
      const [place] = all.splice(random.under(all.length), 1)
      const program = place === undefined ? null : programOf(draft, place, model, options)
      if (place === undefined || program === null) continue
      const { isFullMarks, status } = gradeProgram(program, exercise, benchEight)
      if (status === 'graded' && !isFullMarks) return [{ causeId, what: place.what, program }]
    }
    return []
  })
}

function programOf(
  draft: Draft,
  { changes, image }: { changes?: Changes; image?: Image },
  model: Program,
  options: ReadOptions,
): Program | null {
  if (image !== undefined) return madeProgram(image, model.entry, options)
  const text = changes === undefined ? null : draft.textAfter(changes)
  const program = text === null ? null : readProgram({ format: 'assembly', text }, options)
  return program?.isOk === true ? program : null
}
