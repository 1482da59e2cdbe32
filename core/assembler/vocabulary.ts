import { formIndex } from './forms.ts'
import { operatorWords } from './operators.ts'
import { otherMnemonics, otherRegisters } from './spellings.ts'
import { directiveWords } from './directives.ts'

/** The words that mean something to the assembler, in capitals: what an editor colours. */
export interface Vocabulary {
  readonly mnemonics: ReadonlySet<string>
  /** Registers and conditions. */
  readonly registers: ReadonlySet<string>
  /** Without the dot that each may have. */
  readonly directives: ReadonlySet<string>
  readonly operators: ReadonlySet<string>
}

export function vocabulary(): Vocabulary {
  const { byMnemonic, operandWords } = formIndex()
  return {
    mnemonics: new Set([...byMnemonic.keys(), ...otherMnemonics.keys()]),
    registers: new Set([...operandWords, ...otherRegisters.keys()]),
    directives: new Set(directiveWords),
    operators: operatorWords,
  }
}
