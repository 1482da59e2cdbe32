import { fields, type Choice } from './fields.ts'
import type { Byte, Instruction, OperandByte } from './instruction.ts'
import { documentedRows, undocumentedRows, type Row } from './table.ts'

/** An instruction together with what it does, as the engines need it. */
export interface Definition extends Instruction {
  /** In the language of `effect.ts`, with every field replaced. */
  readonly effect: string
}

/** The bytes that lead to other pages of opcodes. */
const prefixes: readonly Byte[] = [0xcb, 0xdd, 0xed, 0xfd]

const cyclesOf = (text: string): readonly number[] => text.trim().split(/\s+/).map(Number)

/** Replaces whole words: `r` in `LD r,(HL)`, not in `read`. */
const replaceWords = (text: string, words: Readonly<Record<string, string>>): string =>
  text.replace(/[A-Za-z_]+/g, (word) => words[word] ?? word)

function encodingOf(bytes: string, chosen: Readonly<Record<string, Choice>>): readonly (Byte | OperandByte)[] {
  return bytes.split(' ').map((token) => {
    if (token.length === 8) {
      let code = 0
      for (let at = 0; at < 8;) {
        const letter = token[at] ?? ''
        const choice = chosen[letter]
        const width = choice ? (/^(.)\1*/.exec(token.slice(at))?.[0].length ?? 1) : 1
        code = (code << width) | (choice ? choice.code : Number(letter))
        at += width
      }
      return code
    }
    return /^[0-9A-F]{2}$/.test(token) ? parseInt(token, 16) : (token as OperandByte)
  })
}

/** Every instruction that a row stands for, the ones with IY behind those with IX. */
function expand(row: Row, isDocumented: boolean): Definition[] {
  const [text, bytes, cycles, effect, alias] = row
  const binary = bytes.split(' ').filter((token) => token.length === 8)
  const letters = [...new Set(binary.join('').replace(/[01]/g, ''))]
  const [taken = '', notTaken] = cycles.split('/')
  let chosen: Readonly<Record<string, Choice>>[] = [{}]
  for (const letter of letters) {
    const field = fields[letter]
    if (!field) throw new Error(`${text}: no field ${letter}`)
    chosen = chosen.flatMap((some) => field.choices.map((choice) => ({ ...some, [letter]: choice })))
  }
  const definitions = chosen.map((some): Definition => {
    const words = (of: 'text' | 'effect') =>
      Object.fromEntries(Object.entries(some).map(([letter, choice]) => [fields[letter]?.name ?? '', choice[of]]))
    return {
      text: replaceWords(text, words('text')),
      encoding: encodingOf(bytes, some),
      isDocumented,
      machineCycles: cyclesOf(taken),
      ...(notTaken === undefined ? {} : { machineCyclesNotTaken: cyclesOf(notTaken) }),
      ...(alias ? { isAlias: true } : {}),
      effect: replaceWords(effect, words('effect')),
    }
  })
  return bytes.startsWith('DD') ? [...definitions, ...definitions.map(withIy)] : definitions
}

function withIy(definition: Definition): Definition {
  const iy = (text: string) => text.replaceAll('IX', 'IY')
  const encoding = [0xfd, ...definition.encoding.slice(1)]
  return { ...definition, text: iy(definition.text), encoding, effect: iy(definition.effect) }
}

const keyOf = (encoding: readonly (Byte | OperandByte)[]): string =>
  encoding.filter((byte) => typeof byte === 'number').join(' ')

function build(): readonly Definition[] {
  const found = new Map<string, Definition>()
  const add = (definition: Definition) => {
    const key = keyOf(definition.encoding)
    if (!found.has(key)) found.set(key, definition)
  }
  for (const row of documentedRows) expand(row, true).forEach(add)
  // A register form of the undocumented rows without a half of IX or IY in it is a prefix without effect.
  for (const row of undocumentedRows) {
    for (const each of expand(row, false)) {
      const isIndexed = typeof each.encoding[0] === 'number' && [0xdd, 0xfd].includes(each.encoding[0])
      add(isIndexed && !/I[XY]/.test(each.text) ? { ...each, isAlias: true } : each)
    }
  }
  for (const base of [...found.values()]) {
    if (prefixes.includes(base.encoding[0] as Byte)) continue
    for (const prefix of [0xdd, 0xfd]) add(withPrefixIgnored(prefix, base))
  }
  for (let code = 0; code < 256; code++) {
    add({
      text: 'NOP',
      encoding: [0xed, code],
      isDocumented: false,
      machineCycles: [4, 4],
      isAlias: true,
      effect: '',
    })
  }
  return [...found.values()]
}

/** DD or FD before an instruction that has nothing to do with HL: one more opcode fetch, and no other effect. */
function withPrefixIgnored(prefix: Byte, base: Definition): Definition {
  return {
    ...base,
    encoding: [prefix, ...base.encoding],
    isDocumented: false,
    machineCycles: [4, ...base.machineCycles],
    ...(base.machineCyclesNotTaken ? { machineCyclesNotTaken: [4, ...base.machineCyclesNotTaken] } : {}),
    isAlias: true,
  }
}

/** Every instruction with its effect; `instructionSet` is the same list for those who need not know it. */
export const definitions: readonly Definition[] = build()

/**
 * Every encoding of one instruction, documented or not: 1,780. A DD or FD before another DD, FD or ED is not among them;
 * it only costs 4 T-states.
 */
export const instructionSet: readonly Instruction[] = definitions
