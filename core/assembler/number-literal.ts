import { numberForms } from './number-forms.ts'

/** How numbers may be written, for messages. */
export const numberStyles = numberForms
  .flatMap(({ examples, base }) => examples.slice(0, base === 8 ? 1 : 2))
  .join(', ')

/**
 * The value of a number that begins with a digit: `90`, `090` (decimal too), `5AH`, `0x5A`, `01011010B`, `0b01011010`,
 * `132O`, `132Q`, `90D`. The H decides first, so `0B1H` is B1h and `1BH` is no binary number. Null when it is none of them.
 */
export function numberValue(text: string): number | null {
  const digits = text.toUpperCase()
  const [, hexadecimal] = /^(?:0X([0-9A-F]+)|([0-9][0-9A-F]*)H)$/.exec(digits)?.filter(Boolean) ?? []
  if (hexadecimal !== undefined) return parseInt(hexadecimal, 16)
  const [, binary] = /^(?:([01]+)B|0B([01]+))$/.exec(digits)?.filter(Boolean) ?? []
  if (binary !== undefined) return parseInt(binary, 2)
  const [, octal] = /^([0-7]+)[OQ]$/.exec(digits) ?? []
  if (octal !== undefined) return parseInt(octal, 8)
  const [, decimal] = /^([0-9]+)D?$/.exec(digits) ?? []
  return decimal === undefined ? null : parseInt(decimal, 10)
}

/**
 * The hexadecimal number that was perhaps meant by one that is read otherwise: `0B1` is binary 1, `6D` decimal 6, `1B` binary
 * 1, and each would be another number with the H that is easily forgotten. Null where nobody would write it so: `0b00111111`,
 * `101B`, `90`.
 */
export function forgottenH(text: string): { readonly readAs: string; readonly meant: string } | null {
  const digits = text.toUpperCase()
  const value = String(numberValue(text))
  if (/^0B[01]{1,3}$/.test(digits) || /^[01]B$/.test(digits)) return { readAs: `binary: ${value}`, meant: `${digits}H` }
  return /^[0-9]{1,3}D$/.test(digits) ? { readAs: `decimal: ${value}`, meant: `${digits}H` } : null
}

/** What is wrong with a number that `numberValue` refused, with the spelling that would have been taken. */
export function numberAdvice(text: string): string {
  const digits = text.toUpperCase()
  if (/^[0-9]+B$/.test(digits))
    return `A binary number has the digits 0 and 1 only; a hexadecimal one is written ${digits}H.`
  if (/^[0-9][0-9A-F]*$/.test(digits)) return `For a hexadecimal number write ${digits}H.`
  if (/^[0-9]*[89][0-9]*[OQ]$/.test(digits)) return 'An octal number has the digits 0 to 7 only.'
  if (/^[0-9O]+H?$/.test(digits) && digits.includes('O'))
    return `Was ${digits.replaceAll('O', '0')} meant, with the digit 0?`
  return `Numbers are written as ${numberStyles}.`
}
