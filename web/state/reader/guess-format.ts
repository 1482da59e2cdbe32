import type { ProgramFormat } from '../../../core/assembler/index.ts'

/** Bytes or an address, as a hex dump writes them: pairs of digits, or `4000:`. */
const dumpToken = /^(?:[0-9A-Fa-f]{2}|[0-9A-Fa-f]{4}:?|[SW]=[0-9A-Fa-f]{2})$/
/** Something only assembly has: a name of more than two letters that are not all hexadecimal, a comma, a bracket. */
const assemblySign = /[,()'"$]|(?:^|\s)\.?[A-Za-z]*[G-Zg-z][A-Za-z]*(?:\s|:|$)/

/**
 * How a text is most likely written. Comments are left out of the question. A dump with a slip in it stays a dump: most
 * of its words are still bytes.
 */
export function guessFormat(text: string): ProgramFormat {
  const lines = text
    .split(/\r?\n/)
    .map((line) => line.replace(/;.*$/, '').trim())
    .filter((line) => line !== '')
  if (lines.length === 0) return 'assembly'
  const records = lines.filter((line) => line.startsWith(':')).length
  if (records * 2 > lines.length) return 'intel-hex'
  const dumps = lines.filter(isMostlyBytes).length
  return dumps * 2 > lines.length ? 'hex' : 'assembly'
}

function isMostlyBytes(line: string): boolean {
  const tokens = line.split(/\s+/)
  const bytes = tokens.filter((token) => dumpToken.test(token) || /^(?:[0-9A-Fa-f]{2}){2,}$/.test(token)).length
  return assemblySign.test(line.replace(/\b[SW]=[0-9A-Fa-f]{2}\b/g, ''))
    ? bytes > 2 && bytes * 3 >= tokens.length * 2
    : bytes * 2 > tokens.length
}
