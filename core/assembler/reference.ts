import { directiveTable } from './directives.ts'
import { formIndex } from './forms.ts'
import { limits } from './limits.ts'
import { numberForms } from './number-forms.ts'
import { binaryOperators, unaryOperators, type OperatorRow } from './operators.ts'
import { otherMnemonics, otherRegisters } from './spellings.ts'
import { maxLineLength } from './token.ts'

type Cells = readonly string[]

const code = (text: string): string => `\`${text.replaceAll('|', '\\|')}\``
const table = (head: Cells, rows: readonly Cells[]): string =>
  [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n')
const count = (value: number): string => value.toLocaleString('en-GB')

const bases: Readonly<Record<number, string>> = { 2: 'binary', 8: 'octal', 10: 'decimal', 16: 'hexadecimal' }

function numbers(): string {
  const rows = numberForms.map(({ base, examples, says }) => [bases[base] ?? '', examples.map(code).join(' '), says])
  return table(['Number', 'Written', 'How'], rows)
}

function operators(): string {
  const row = ({ operators: some, does }: OperatorRow, place: string): Cells => [place, some.map(code).join(' '), does]
  return table(
    ['Strength', 'Operators', 'Gives'],
    [
      ...unaryOperators.map((each) => row(each, 'before a value')),
      ...binaryOperators.map((each, i) => row(each, String(i + 1))),
    ],
  )
}

function directives(): string {
  const rows = directiveTable.map(({ others, form, does }) => [
    code(form),
    others.length === 0 ? '' : others.map(code).join(' '),
    does,
  ])
  return table(['Written', 'Or', 'Does'], rows)
}

function instructions(): string {
  const { byMnemonic } = formIndex()
  const names = [...byMnemonic].sort(([a], [b]) => (a < b ? -1 : 1))
  const operandsOf = (written: readonly Cells[]): string => {
    const counts = [...new Set(written.map(({ length }) => length))].sort()
    return counts.join(' or ')
  }
  return table(
    ['Instruction', 'Operands', 'Forms'],
    names.map(([name, forms]) => [code(name), operandsOf(forms.map(({ operands }) => operands)), String(forms.length)]),
  )
}

function limitRows(): string {
  return table(
    ['At most', 'Of'],
    [
      [count(limits.sourceLines), 'lines in a text'],
      [count(maxLineLength), 'characters in a line'],
      [count(limits.lineTokens), 'words and marks in a line with its parameters put in'],
      [count(limits.expandedLines), 'lines that macros and REPT add; each round counts as one more'],
      [count(limits.expandedTokens), 'words and marks in those lines'],
      [count(limits.depth), 'macros and REPT inside each other'],
      [count(limits.bytes), 'bytes; an exercise may allow fewer'],
    ],
  )
}

/** The language of the assembler as a page for students, each table made from the one that the assembler reads. */
export function assemblerReference(): string {
  const { byMnemonic, operandWords } = formIndex()
  const forms = [...byMnemonic.values()].reduce((sum, some) => sum + some.length, 0)
  const others = (map: ReadonlyMap<string, string>): string =>
    [...map].map(([word, meant]) => `${code(word)} for ${code(meant)}`).join(', ')
  return `# The assembler

What you may write in a program handed in as assembly. Made from the tables that the assembler itself reads.

## A line

\`\`\`
LABEL:  INSTRUCTION OPERANDS    ; comment
\`\`\`

Every part may be left out. A label begins in the first column or has a colon behind it. Capitals make no difference, in
names neither. A name is a letter, \`_\`, \`?\` or \`@\`, then digits and dots too. What means something already (an
instruction, a directive, an operator, a register) cannot be a name. A character in quotes is a number: \`LD A,'Z'\`; a
quote inside a text is doubled.

## Names with a dot

A name that begins with a dot belongs to the label above it, so that each routine may have its own \`.loop\`:

\`\`\`
SHOW:   LD B,6
.loop:  DJNZ .loop
        RET
WAIT:   LD B,0
.loop:  DJNZ .loop       ; another one
        RET
\`\`\`

From elsewhere it is written in full: \`JP SHOW.loop\`. Listing and symbols show it so. Names given by \`EQU\`, \`DEFL\` and
\`MACRO\` are no labels: they leave the label above as it is. Above the first label, a name with a dot is one for the whole
text. In a macro or \`REPT\`, the names with a dot that it defines belong to that call or round alone; others are those of the
place it was called from. A label that a macro writes is the label above what follows, unless it is \`LOCAL\`.

## Numbers

${numbers()}

\`$\` is the address of the instruction; in \`DB\` and \`DW\` that of the value itself. \`0B1\`, \`1B\` and \`6D\` are read as
binary and decimal, with a warning: with the H that is easily forgotten they would be hexadecimal.

## Operators

The tightest first. Operators of one strength are worked out from left to right. Brackets are \`( )\` or \`[ ]\`.

${operators()}

Values are whole numbers of 32 bits. True is -1, so that \`NOT\` and \`AND\` work on truth too. A value that does not fit where
it stands is an error, never cut; so is a shift by less than 0 or more than 31.

Assemblers do not agree about strength. Where another one may read a line otherwise, you get a warning with both readings:
\`HIGH BUF+1\` is \`(HIGH BUF) + 1\` here and \`HIGH (BUF + 1)\` elsewhere; the same goes for \`LOW\` and \`NOT\`, for a shift
beside a sum, for \`OR\` beside \`XOR\`, and for \`AND\` beside one comparison. Brackets end the doubt.

## Directives

Each may have a dot before it.

${directives()}

What \`ORG\`, \`DS\`, \`REPT\` and \`IF\` need must be known from the lines above. No other file can be taken in.

## Macros

\`\`\`
DELAY   MACRO COUNT
        LD B,COUNT
.wait:  DJNZ .wait
        ENDM

        DELAY 100
        DELAY 200
\`\`\`

A parameter stands for what is written in its place, whatever it is: a number, a register, a text, a name. A macro must stand
above its first use and may use others. A mistake inside it is told with the line of the call.

## Limits

${limitRows()}

## Instructions

${byMnemonic.size} instructions in ${count(forms)} forms; ${operandWords.size} names of registers and conditions. [Instructions](instructions.md) has
every form with its bytes and T-states. \`A,\` may be left out or written in 8-bit arithmetic: \`ADD B\`, \`SUB A,B\`. Other
spellings: ${others(otherMnemonics)}; ${others(otherRegisters)}.

${instructions()}
`
}
