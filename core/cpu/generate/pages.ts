import type { Definition } from '../instruction-set.ts'

/** The page of an instruction: the bytes before its opcode in hexadecimal, without operands. */
export const pageOf = ({ encoding }: Definition): string =>
  encoding
    .filter((each) => typeof each === 'number')
    .slice(0, -1)
    .map((each) => each.toString(16))
    .join('')

export const opcodeOf = ({ encoding }: Definition): number =>
  Number(encoding.findLast((each) => typeof each === 'number'))

/** DD or FD in front of an instruction that would be the same without it. */
export const isIgnoredPrefix = ({ encoding, text }: Definition): boolean =>
  (encoding[0] === 0xdd || encoding[0] === 0xfd) && !/I[XY]/.test(text)
