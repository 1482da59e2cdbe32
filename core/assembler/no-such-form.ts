import type { ProblemText } from '../image/index.ts'
import { formIndex, formKey, type Form } from './forms.ts'
import { otherOperands } from './spellings.ts'

/** An instruction whose operands the Z80 does not have together. */
export interface Attempt {
  readonly mnemonic: string
  /** The operands as the form index knows them, the likeliest key of each. */
  readonly keys: readonly string[]
  /** The operands as written. */
  readonly texts: readonly string[]
  /** What the first operand comes to where it is a number that is known. */
  readonly firstValue: number | null
}

/** What to say about it: that it does not exist, what the mnemonic does take, and what would do the same. */
export function noSuchForm(attempt: Attempt): ProblemText {
  const { mnemonic, texts, keys } = attempt
  const written = `${mnemonic}${texts.length > 0 ? ' ' : ''}${texts.join(',')}`
  const forms = formIndex().byMnemonic.get(mnemonic) ?? []
  const counts = [...new Set(forms.map(({ operands }) => operands.length))].sort()
  const instead = adviceFor(attempt)
  const finish = (code: string, allowed: string, message: string): ProblemText => ({
    code,
    found: written,
    allowed,
    message: instead === null ? message : `${message} ${instead}`,
  })
  const mayLeaveOutA = keys.length === 1 && otherOperands(mnemonic, keys).length > 0
  if (!counts.includes(keys.length) && !mayLeaveOutA) {
    const wanted = counts.map((count) => ['no operand', 'one operand', 'two operands', 'three operands'][count] ?? '')
    const there = keys.length === 0 ? 'none is' : keys.length === 1 ? 'one is' : `${keys.length} are`
    const message = `${mnemonic} takes ${wanted.join(' or ')}, but ${there} written here.`
    return finish('wrong-operand-count', wanted.join(' or '), message)
  }
  const { allowed, sentences } = alternatives(attempt, forms, instead === null ? Infinity : mostBesideAdvice)
  return finish('no-such-instruction', allowed, [`The Z80 has no ${written}.`, ...sentences].join(' '))
}

/** A longer list than this is left out where there is advice: that is what should be read. */
const mostBesideAdvice = 6

/** What could stand in place of each operand if the others stayed. */
function alternatives({ mnemonic, keys, texts }: Attempt, forms: readonly Form[], mostChoices: number) {
  const only: string[] = []
  const sentences: string[] = []
  let allowed = ''
  for (let i = keys.length - 1; i >= 0; i -= 1) {
    const fitting = forms.filter(
      (form) => form.keys.length === keys.length && form.keys.every((key, j) => j === i || matches(keys[j], key)),
    )
    const choices = compressed(fitting.map((form) => form.operands[i] ?? ''))
    const [first] = choices
    if (first === undefined || (allowed !== '' && choices.length > 2)) continue
    const withOther = (other: string) => `${mnemonic} ${texts.map((text, j) => (j === i ? other : text)).join(',')}`
    allowed ||= choices.join(', ')
    if (fitting.length === 1) only.push(withOther(first))
    else if (choices.length <= mostChoices) sentences.push(`In ${withOther('…')} there may stand ${list(choices)}.`)
  }
  if (only.length > 0) sentences.unshift(`There ${only.length === 1 ? 'is' : 'are'} only ${only.join(' and ')}.`)
  if (allowed !== '') return { allowed, sentences }
  const first = compressed(forms.map(({ operands }) => operands[0] ?? ''))
  return { allowed: first.join(', '), sentences: [`The first operand of ${mnemonic} may be ${list(first)}.`] }
}

function matches(written: string | undefined, key: string): boolean {
  return written === key || (written === '=?' && key.startsWith('='))
}

const groups: readonly (readonly [members: readonly string[], name: string])[] = [
  [['A', 'B', 'C', 'D', 'E', 'H', 'L'], 'A to E, H, L'],
  [['A', 'B', 'C', 'D', 'E'], 'A to E'],
  [['0', '1', '2', '3', '4', '5', '6', '7'], '0 to 7'],
  [['IXH', 'IXL', 'IYH', 'IYL'], 'IXH, IXL, IYH, IYL'],
]
const placeholders: Readonly<Record<string, string>> = {
  n: 'a byte',
  nn: 'a word',
  e: 'a label',
  '(n)': '(port)',
  '(nn)': '(address)',
}

/** Each choice once, runs of registers as one: registers first, then numbers, then memory. */
function compressed(operands: readonly string[]): string[] {
  const left = new Set(operands)
  const runs: string[] = []
  for (const [members, name] of groups)
    if (members.every((member) => left.has(member))) {
      for (const member of members) left.delete(member)
      runs.push(name)
    }
  const rest = [...left].sort((a, b) => rank(a) - rank(b))
  return [...runs, ...rest.map((operand) => placeholders[operand] ?? operand)]
}

function rank(operand: string): number {
  return operand.startsWith('(') ? 2 : operand in placeholders ? 1 : 0
}

function list(choices: readonly string[]): string {
  return choices.length < 2 ? choices.join('') : `${choices.slice(0, -1).join(', ')} or ${choices.at(-1)}`
}

const pairs: Readonly<Record<string, readonly [string, string]>> = { BC: ['B', 'C'], DE: ['D', 'E'], HL: ['H', 'L'] }

/** What does the same, or what was probably meant; null when nothing comes to mind. */
function adviceFor({ mnemonic, keys, texts, firstValue }: Attempt): string | null {
  const [first = '', second = ''] = keys
  const [firstText = '', secondText = ''] = texts
  const to = pairs[first]
  const from = pairs[second]
  const isByteRegister = (key: string) => /^[A-EHL]$/.test(key)
  switch (mnemonic) {
    case 'LD':
      if (to && from) return `Write LD ${to[0]},${from[0]} and LD ${to[1]},${from[1]}.`
      if (/^[IR]$/.test(first) && isByteRegister(second)) return `Go through A: LD A,${second} and LD ${first},A.`
      if (/^[IR]$/.test(second) && isByteRegister(first)) return `Go through A: LD A,${second} and LD ${first},A.`
      if (first.startsWith('(') && second.startsWith('('))
        return `Memory goes to memory through a register: LD A,${secondText} and LD ${firstText},A.`
      if (/^\((BC|DE|#)\)$/.test(first) && isByteRegister(second))
        return `Go through A: LD A,${second} and LD ${firstText},A.`
      if (/^\((BC|DE|#)\)$/.test(second) && isByteRegister(first))
        return `Go through A: LD A,${secondText} and LD ${first},A.`
      return null
    case 'SUB':
    case 'CP':
      return first === 'HL' && to !== undefined && from !== undefined
        ? `For a 16-bit difference clear the carry with OR A, then SBC HL,${second}.`
        : null
    case 'PUSH':
    case 'POP':
      return keys.length > 1
        ? `Write ${texts.map((text) => `${mnemonic} ${text}`).join(' and ')}, one to a line.`
        : null
    case 'JR':
      return /^(PO|PE|P|M)$/.test(first)
        ? `JP ${first},${secondText || '…'} has this condition.`
        : adviceWithoutBrackets()
    case 'JP':
    case 'CALL':
    case 'DJNZ':
      return adviceWithoutBrackets()
    case 'OUT':
      if (first === '(#)' && isByteRegister(second))
        return `Load A first and write OUT ${firstText},A, or put the port into C and write OUT (C),${second}.`
      return first === 'C' || first === '(BC)' ? `The port in C is written OUT (C),${secondText}.` : null
    case 'IN':
      if (second === '(#)' && isByteRegister(first))
        return `Write IN A,${secondText}, or put the port into C and write IN ${first},(C).`
      return second === 'C' || second === '(BC)' ? `The port in C is written IN ${firstText},(C).` : null
    case 'RST':
      return firstValue !== null && firstValue > 0 && firstValue < 8
        ? `Restart number ${firstValue} is written with its address: RST ${(8 * firstValue).toString(16).toUpperCase().padStart(2, '0')}H.`
        : null
    default:
      return keys.length > 0 && formIndex().byKey.has(mnemonic) ? `Write ${mnemonic} alone.` : null
  }

  function adviceWithoutBrackets(): string | null {
    const bare = keys.map((key) => (key === '(#)' ? '#' : key))
    if (!keys.includes('(#)') || !formIndex().byKey.has(formKey(mnemonic, bare))) return null
    return `Brackets mean the contents of memory; to go to that address write ${mnemonic} ${texts.map((text, i) => (keys[i] === '(#)' ? text.slice(1, -1) : text)).join(',')}.`
  }
}
