/** What a field of an encoding can stand for: how the choice is written in the instruction and in its effect. */
export interface Choice {
  readonly code: number
  readonly text: string
  readonly effect: string
}

function choices(...texts: readonly (string | null)[]): readonly Choice[] {
  return texts.flatMap((text, code) => (text === null ? [] : [{ code, text, effect: text }]))
}

function conditions(...pairs: readonly (readonly [string, string])[]): readonly Choice[] {
  return pairs.map(([text, effect], code) => ({ code, text, effect }))
}

const registers = choices('B', 'C', 'D', 'E', 'H', 'L', null, 'A')
const registersWithHalves = choices('B', 'C', 'D', 'E', 'IXH', 'IXL', null, 'A')

/**
 * The fields by the letter that marks their bits, with the name that stands for them in text and effect. Code 6 is no
 * register: there the operand is in memory, and the instruction has a line of its own.
 */
export const fields: Readonly<Record<string, { readonly name: string; readonly choices: readonly Choice[] }>> = {
  r: { name: 'r', choices: registers },
  s: { name: 's', choices: registers },
  u: { name: 'u', choices: registersWithHalves },
  v: { name: 'v', choices: registersWithHalves },
  d: { name: 'dd', choices: choices('BC', 'DE', 'HL', 'SP') },
  q: { name: 'qq', choices: choices('BC', 'DE', 'HL', 'AF') },
  p: { name: 'pp', choices: choices('BC', 'DE', 'IX', 'SP') },
  c: {
    name: 'cc',
    choices: conditions(
      ...([
        ['NZ', '!ZF'],
        ['Z', 'ZF'],
        ['NC', '!CF'],
        ['C', 'CF'],
        ['PO', '!PF'],
        ['PE', 'PF'],
        ['P', '!SF'],
        ['M', 'SF'],
      ] as const),
    ),
  },
  k: {
    name: 'kk',
    choices: conditions(
      ...([
        ['NZ', '!ZF'],
        ['Z', 'ZF'],
        ['NC', '!CF'],
        ['C', 'CF'],
      ] as const),
    ),
  },
  b: { name: 'b', choices: choices('0', '1', '2', '3', '4', '5', '6', '7') },
  t: {
    name: 't',
    choices: ['00', '08', '10', '18', '20', '28', '30', '38'].map((hex, code) => ({
      code,
      text: `${hex}H`,
      effect: `0x${hex}`,
    })),
  },
}
