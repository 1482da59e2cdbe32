import { directiveOf } from './directives.ts'
import { formIndex } from './forms.ts'
import { otherMnemonics } from './spellings.ts'
import type { Token } from './token.ts'

/** A line cut into its parts. */
export interface Statement {
  readonly label: Token | null
  /** The word of the instruction, directive or macro, as written. */
  readonly operation: Token | null
  /** The operation's own name: `DB` for `.byte`, `SLL` for `sli`; null where nothing of that name is known. */
  readonly name: string | null
  /** All behind the operation. */
  readonly rest: readonly Token[]
  /** A name alone on its line without a colon: a label, or a slip of the pen. */
  readonly isBareLabel: boolean
}

/** The instruction that a word means, in the manual's spelling, or null. */
export function mnemonicOf(key: string): string | null {
  const name = otherMnemonics.get(key) ?? key
  return formIndex().byMnemonic.has(name) ? name : null
}

/** Finds label, operation and operands. `isMacro` tells the names that the program has defined itself. */
export function parseStatement(tokens: readonly Token[], isMacro: (key: string) => boolean): Statement {
  const [first, second] = tokens
  if (first === undefined) return emptyStatement
  if (first.kind !== 'name') return unlabelled(tokens, isMacro)
  if (second?.text === ':' && second.kind === 'mark') return labelled(tokens, 2, isMacro)
  const next = nameOf(second, isMacro)
  // EQU, DEFL, = and MACRO always have a name before them, whatever it is.
  if (next === 'EQU' || next === 'DEFL' || next === 'MACRO') return labelled(tokens, 1, isMacro)
  const isLabel = next !== null || (second === undefined && (first.column === 1 || first.key.startsWith('.')))
  return isLabel && nameOf(first, isMacro) === null ? labelled(tokens, 1, isMacro) : unlabelled(tokens, isMacro)
}

const emptyStatement: Statement = { label: null, operation: null, name: null, rest: [], isBareLabel: false }

function nameOf(token: Token | undefined, isMacro: (key: string) => boolean): string | null {
  if (token === undefined || (token.kind !== 'name' && (token.kind !== 'mark' || token.text !== '='))) return null
  return isMacro(token.key) ? token.key : (mnemonicOf(token.key) ?? directiveOf(token.key))
}

function labelled(tokens: readonly Token[], skip: number, isMacro: (key: string) => boolean): Statement {
  const operation = tokens[skip]
  return {
    label: tokens[0] ?? null,
    operation: operation ?? null,
    name: nameOf(operation, isMacro),
    rest: tokens.slice(skip + 1),
    isBareLabel: tokens.length === 1,
  }
}

function unlabelled(tokens: readonly Token[], isMacro: (key: string) => boolean): Statement {
  const operation = tokens[0] ?? null
  return { label: null, operation, name: nameOf(tokens[0], isMacro), rest: tokens.slice(1), isBareLabel: false }
}

/** Parts tokens at the commas outside brackets. `A,,B` gives an empty part, and so does a comma at the end. */
export function splitAtCommas(tokens: readonly Token[]): Token[][] {
  if (tokens.length === 0) return []
  const parts: Token[][] = [[]]
  let depth = 0
  for (const token of tokens) {
    if (token.kind === 'mark') {
      if (token.text === '(' || token.text === '[') depth += 1
      if (token.text === ')' || token.text === ']') depth = Math.max(0, depth - 1)
      if (token.text === ',' && depth === 0) {
        parts.push([])
        continue
      }
    }
    parts.at(-1)?.push(token)
  }
  return parts
}
