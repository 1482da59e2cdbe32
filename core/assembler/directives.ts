/** A directive: a word that stands where an instruction stands and tells the assembler something. */
export interface Directive {
  readonly name: string
  readonly others: readonly string[]
  /** How it is written, for the page. */
  readonly form: string
  readonly does: string
}

/** All there are. Each word may have a dot before it. */
export const directiveTable: readonly Directive[] = [
  { name: 'ORG', others: [], form: 'ORG address', does: 'what follows stands from this address on' },
  { name: 'EQU', others: [], form: 'NAME EQU value', does: 'gives a name a value, once' },
  { name: 'DEFL', others: ['='], form: 'NAME DEFL value', does: 'gives a name a value that a later line may change' },
  {
    name: 'DB',
    others: ['DEFB', 'DM', 'DEFM', 'BYTE'],
    form: 'DB value,"text",…',
    does: 'bytes, and the characters of a text',
  },
  { name: 'DW', others: ['DEFW', 'WORD'], form: 'DW value,…', does: 'words, the low byte first' },
  {
    name: 'DS',
    others: ['DEFS'],
    form: 'DS count,byte',
    does: 'so many bytes of the same value, 0 where none is given',
  },
  {
    name: 'END',
    others: [],
    form: 'END address',
    does: 'ends the text; with an address, says where the program starts',
  },
  { name: 'IF', others: [], form: 'IF value', does: 'the lines up to ELSE or ENDIF count only if the value is not 0' },
  { name: 'IFDEF', others: [], form: 'IFDEF NAME', does: 'the same, if a line above gave the name a value' },
  { name: 'IFNDEF', others: [], form: 'IFNDEF NAME', does: 'the same, if none did' },
  { name: 'ELSE', others: [], form: 'ELSE', does: 'the lines that count otherwise' },
  { name: 'ENDIF', others: [], form: 'ENDIF', does: 'ends an IF, IFDEF or IFNDEF' },
  { name: 'MACRO', others: [], form: 'NAME MACRO A,B', does: 'begins lines that stand for NAME from here on' },
  { name: 'REPT', others: [], form: 'REPT count', does: 'the lines up to ENDM, so many times' },
  {
    name: 'LOCAL',
    others: [],
    form: 'LOCAL NAME,…',
    does: 'in a macro or REPT: names that each call or round has for itself',
  },
  { name: 'ENDM', others: [], form: 'ENDM', does: 'ends a MACRO or REPT' },
]

const byWord: ReadonlyMap<string, string> = new Map(
  directiveTable.flatMap(({ name, others }) => [name, ...others].map((word): [string, string] => [word, name])),
)

/** All spellings of directives that are words, without the dot. */
export const directiveWords: readonly string[] = [...byWord.keys()].filter((word) => word !== '=')

/** The directive that a word means, by its main name, or null. */
export function directiveOf(key: string): string | null {
  return byWord.get(key.startsWith('.') ? key.slice(1) : key) ?? null
}
