import { byteDigits, wordDigits } from '../../../core/image/index.ts'

/** A lane that is drawn only when somebody asks for it. */
export type LaneWish =
  | { readonly kind: 'register'; readonly name: string }
  | { readonly kind: 'memory'; readonly address: number }
  | { readonly kind: 'written' | 'read'; readonly port: number }

/** A register as the trade writes it, and how many hexadecimal digits it has. */
export interface RegisterPart {
  readonly name: string
  readonly digits: 2 | 4
}

/** Registers that a lane can show and a question can be asked about. */
export const registerParts: readonly RegisterPart[] = [
  ...['A', 'F', 'B', 'C', 'D', 'E', 'H', 'L'].map((name) => ({ name, digits: 2 as const })),
  ...['BC', 'DE', 'HL', 'IX', 'IY', 'SP'].map((name) => ({ name, digits: 4 as const })),
]

export function partNamed(name: string): RegisterPart | null {
  return registerParts.find((each) => each.name === name.toUpperCase()) ?? null
}

/** `register-HL`, `memory-4600`, `written-20`: how a lane is named in lists that are kept. */
export function wishId(wish: LaneWish): string {
  switch (wish.kind) {
    case 'register':
      return `register-${wish.name}`
    case 'memory':
      return `memory-${wordDigits(wish.address)}`
    default:
      return `${wish.kind}-${byteDigits(wish.port)}`
  }
}

export function wishTitle(wish: LaneWish): string {
  switch (wish.kind) {
    case 'register':
      return wish.name
    case 'memory':
      return `Byte ${wordDigits(wish.address)}`
    default:
      return `Port ${byteDigits(wish.port)} ${wish.kind}`
  }
}

/** Null for an id that no wish has. */
export function readWish(id: string): LaneWish | null {
  const [, kind, rest = ''] = /^(register|memory|written|read)-([0-9A-Z]{1,4})$/.exec(id) ?? []
  if (kind === undefined) return null
  if (kind === 'register') return partNamed(rest) === null ? null : { kind, name: rest }
  if (!/^[0-9A-F]+$/.test(rest)) return null
  const number = Number.parseInt(rest, 16)
  if (kind === 'memory') return rest.length === 4 ? { kind, address: number } : null
  return rest.length === 2 ? { kind: kind as 'written' | 'read', port: number } : null
}
