import { byteDigits, wordDigits } from '../../../core/image/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'

/** A lane that is drawn only when somebody asks for it. */
export type LaneWish =
  | { readonly kind: 'register'; readonly name: string }
  | { readonly kind: 'memory'; readonly address: number }
  | { readonly kind: 'written' | 'read'; readonly port: number }

/** Where a register as the trade writes it stands in the CPU: `H` is the high byte of `hl`. */
export interface RegisterPart {
  readonly name: string
  readonly register: keyof Registers
  readonly shift: 0 | 8
  readonly digits: 2 | 4
}

const part = (name: string, register: keyof Registers, shift: 0 | 8, digits: 2 | 4): RegisterPart => ({
  ...{ name, register, shift, digits },
})

/** Registers that a lane can show and a question can be asked about. */
export const registerParts: readonly RegisterPart[] = [
  ...[part('A', 'af', 8, 2), part('F', 'af', 0, 2), part('B', 'bc', 8, 2), part('C', 'bc', 0, 2)],
  ...[part('D', 'de', 8, 2), part('E', 'de', 0, 2), part('H', 'hl', 8, 2), part('L', 'hl', 0, 2)],
  ...[part('BC', 'bc', 0, 4), part('DE', 'de', 0, 4), part('HL', 'hl', 0, 4), part('IX', 'ix', 0, 4)],
  ...[part('IY', 'iy', 0, 4), part('SP', 'sp', 0, 4)],
]

export function partNamed(name: string): RegisterPart | null {
  return registerParts.find((each) => each.name === name.toUpperCase()) ?? null
}

/** The value of the part in the value of its register. */
export function partOf({ shift, digits }: RegisterPart, value: number): number {
  return digits === 4 ? value & 0xffff : (value >> shift) & 0xff
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
