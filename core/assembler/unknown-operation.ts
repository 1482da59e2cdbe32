import type { ProblemText } from '../image/index.ts'
import { formIndex } from './forms.ts'
import { editDistance } from './nearest.ts'
import { registerOf } from './operand.ts'
import { takesOperands } from './spellings.ts'
import { directiveWords } from './directives.ts'
import { splitAtCommas } from './statement.ts'
import type { Token } from './token.ts'

// The 8080's names for what the Z80 has too, which turn up in old books. From memory, common practice.
const intelWithOperands: Readonly<Record<string, string>> = {
  ...{ MOV: 'LD A,B', MVI: 'LD A,5', LXI: 'LD HL,1234H', LDAX: 'LD A,(BC)', STAX: 'LD (BC),A', LDA: 'LD A,(1234H)' },
  ...{ STA: 'LD (1234H),A', LHLD: 'LD HL,(1234H)', SHLD: 'LD (1234H),HL', JMP: 'JP 1234H', JNZ: 'JP NZ,1234H' },
  ...{ JZ: 'JP Z,1234H', JNC: 'JP NC,1234H', JC: 'JP C,1234H', CNZ: 'CALL NZ,1234H', CZ: 'CALL Z,1234H' },
  ...{ CNC: 'CALL NC,1234H', CC: 'CALL C,1234H', ADI: 'ADD A,5', ACI: 'ADC A,5', SUI: 'SUB 5', SBI: 'SBC A,5' },
  ...{ SBB: 'SBC A,B', ANA: 'AND B', ANI: 'AND 5', XRA: 'XOR B', XRI: 'XOR 5', ORA: 'OR B', ORI: 'OR 5', CMP: 'CP B' },
  ...{ INR: 'INC B', DCR: 'DEC B', INX: 'INC HL', DCX: 'DEC HL', DAD: 'ADD HL,BC' },
}
const intelAlone: Readonly<Record<string, string>> = {
  ...{ HLT: 'HALT', XCHG: 'EX DE,HL', XTHL: 'EX (SP),HL', SPHL: 'LD SP,HL', PCHL: 'JP (HL)', RAL: 'RLA', RAR: 'RRA' },
  ...{ CMA: 'CPL', STC: 'SCF', CMC: 'CCF', RNZ: 'RET NZ', RZ: 'RET Z', RNC: 'RET NC', RC: 'RET C' },
}

// Words in full for what the manual shortens, as beginners write them. From memory, common practice.
const inFull: Readonly<Record<string, string>> = {
  ...{ LOAD: 'LD', MOVE: 'LD', JUMP: 'JP', GOTO: 'JP', COMPARE: 'CP', RETURN: 'RET', INCREMENT: 'INC', INCR: 'INC' },
  ...{ DECREMENT: 'DEC', DECR: 'DEC', SUBTRACT: 'SUB', EXCHANGE: 'EX', OUTPUT: 'OUT', INPUT: 'IN', NEGATE: 'NEG' },
  ...{ STOP: 'HALT', COMPLEMENT: 'CPL', RESET: 'RES', RESTART: 'RST' },
}

const directiveAdvice: Readonly<Record<string, string>> = {
  INCLUDE: 'Other files cannot be taken in: put all of the program into this text.',
  INCBIN: 'Other files cannot be taken in: write the bytes with DB.',
  ENDR: 'A REPT ends with ENDM.',
  ENDC: 'An IF ends with ENDIF.',
  ELSEIF: 'Write ELSE, and an IF of its own below it.',
  EXITM: 'Use IF and ENDIF to leave part of a macro out.',
}

/**
 * What a line says whose first word is no instruction, with the word that was probably meant: `nearest` finds it among those
 * that take what stands behind it.
 */
export function unknownOperation(
  word: Token,
  rest: readonly Token[],
  nearest: (word: string, words: readonly string[]) => string | null,
): ProblemText {
  const allowed = 'an instruction, a directive or a macro of this program'
  const say = (message: string): ProblemText => ({ code: 'unknown-instruction', found: word.text, allowed, message })
  if (word.kind !== 'name') {
    return {
      code: 'bad-statement',
      found: word.text,
      allowed: 'a label or an instruction',
      message: `A line begins with a label or an instruction, not with '${word.text}'.`,
    }
  }
  const plain = word.key.replace(/^\./, '')
  const advice = directiveAdvice[plain]
  if (advice !== undefined) return say(`${word.text} is not known here. ${advice}`)
  const intel = intelWithOperands[word.key] ?? intelAlone[word.key]
  if (intel !== undefined) return say(`${word.text} is the 8080's word. The Z80's way is, for example, ${intel}.`)
  const near = inFull[word.key] ?? nearest(plain, wordsTaking(splitAtCommas(rest).length))
  if (near !== null) return say(`There is no instruction ${word.text}. Was ${near} meant?`)
  if (registerOf(word) !== null) return say(`${word.text} is a register, no instruction. Was LD ${word.text},… meant?`)
  if (rest.length === 0 || rest[0]?.kind === 'name')
    return say(`There is no instruction ${word.text}. If it is a label, put a colon behind it: ${word.text}:`)
  return say(`There is no instruction ${word.text}.`)
}

/** Instructions that are written with so many operands, and the directives that may be. */
function wordsTaking(operands: number): string[] {
  const mnemonics = [...formIndex().byMnemonic].filter(([mnemonic, forms]) =>
    forms.some((form) => takesOperands(mnemonic, form.operands.length, operands)),
  )
  const directives = operands === 0 ? directiveWords.filter((word) => aloneWords.has(word)) : directiveWords
  return [...mnemonics.map(([mnemonic]) => mnemonic), ...directives]
}

const aloneWords: ReadonlySet<string> = new Set(['END', 'ELSE', 'ENDIF', 'ENDM'])

/** An instruction that a label was probably meant to be. */
export interface Slip {
  readonly meant: string
  readonly isSure: boolean
}

/**
 * What a name alone on its line, without a colon, was probably meant to be: an instruction in the 8080's words (`isSure`), or
 * one that is a letter away. Null when it is simply a label.
 */
export function slipOfInstruction(key: string): Slip | null {
  const intel = intelAlone[key]
  if (intel !== undefined) return { meant: intel, isSure: true }
  for (const [mnemonic, forms] of formIndex().byMnemonic)
    if (
      key.length > 2 &&
      !/\d/.test(key) &&
      forms.some(({ operands }) => operands.length === 0) &&
      editDistance(key, mnemonic) === 1
    )
      return { meant: mnemonic, isSure: false }
  return null
}
