import type { Program } from '../assembler/index.ts'
import type { Addr } from '../cpu/index.ts'
import { byteDigits, showWord, wordDigits } from '../image/index.ts'
import { figures, words, type Page } from './page.ts'
import { programRows, type ProgramRow } from './program-rows.ts'

/** A jump to work out: from the address of its opcode to a target. */
interface Jump {
  readonly from: Addr
  readonly to: Addr
  readonly text: string
}

/** Jumps on a sheet. The program's own come first; pairs of its places make up the rest. */
const jumpsOnSheet = 10

/** For each jump: the distance to fill in and the byte it makes. */
export function displacementPage(program: Program, title: string, hasAnswers: boolean): Page {
  const jumps = drawJumps(programRows(program))
  const intro = hasAnswers
    ? ['The answers.']
    : [
        'A relative jump holds e = target − (address of its opcode + 2), from −128 to +127; its byte is e, or 256 + e when e is negative.',
        'Work out e and the byte. Where the target cannot be reached, write “too far”.',
      ]
  if (jumps.length === 0) intro.push('This program has no two places to jump between.')
  return {
    title,
    intro,
    tables: [
      {
        caption: null,
        columns: [
          ...[figures('No.', 3), words('At', 5), words('Instruction', 14), words('Target', 6)],
          ...[words('e', 26), words('Byte', 7)],
        ],
        rows: jumps.map((jump, i) => {
          const { working, byte } = answer(jump)
          return [
            ...[String(i + 1), wordDigits(jump.from), jump.text, wordDigits(jump.to)],
            ...(hasAnswers ? [working, byte] : [null, null]),
          ]
        }),
      },
    ],
  }
}

function answer({ from, to }: Jump): { working: string; byte: string } {
  const e = to - (from + 2)
  const sign = e < 0 ? '−' : '+'
  const working = `${showWord(to)} − ${showWord(from + 2)} = ${sign}${Math.abs(e)}`
  return { working, byte: e >= -128 && e <= 127 ? byteDigits(e & 0xff) : 'too far' }
}

function drawJumps(rows: readonly ProgramRow[]): Jump[] {
  const isRelative = ({ decoded }: ProgramRow) => /^(JR|DJNZ)\b/.test(decoded?.instruction.text ?? '')
  const own = rows
    .filter(isRelative)
    .map(({ address, text, decoded }) => ({ from: address, to: decoded?.refersTo?.address ?? 0, text }))
  const targets = [...new Set([...rows.filter(({ label }) => label !== null), ...rows].map(({ address }) => address))]
  const pairs = rows
    .filter(({ kind }) => kind === 'instruction')
    .flatMap(({ address }) => targets.map((to) => ({ from: address, to, text: `JR ${wordDigits(to)}H` })))
    .filter(({ from, to }) => !own.some((jump) => jump.from === from && jump.to === to))
  const wanted = Math.min(pairs.length, Math.max(0, jumpsOnSheet - own.length))
  // Spread over the program by a stride, so that the same program always gives the same sheet.
  const stride = wanted === 0 ? 1 : pairs.length / wanted
  const others = Array.from({ length: wanted }, (_, i) => pairs[Math.floor(i * stride)])
  return [...own.slice(0, jumpsOnSheet), ...others.filter((jump) => jump !== undefined)]
}
