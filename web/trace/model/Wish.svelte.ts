import { showByte, showWord, wordDigits } from '../../../core/image/index.ts'
import type { Registers } from '../../../core/cpu/index.ts'
import type { SearchTarget } from '../../../core/run/index.ts'
import { parseAddress } from '../../machine/parse-address.ts'

export type WishKind = 'port-write' | 'memory-write' | 'register-change' | 'pc'

/** Registers whose change can be looked for, as they are written in the trade. */
export const wishRegisters: readonly { readonly id: keyof Registers; readonly name: string }[] = [
  { id: 'af', name: 'A or F' },
  { id: 'bc', name: 'BC' },
  { id: 'de', name: 'DE' },
  { id: 'hl', name: 'HL' },
  { id: 'ix', name: 'IX' },
  { id: 'iy', name: 'IY' },
  { id: 'sp', name: 'SP' },
]

/** What to run on or back to, as it is being filled in. */
export class Wish {
  kind = $state<WishKind>('port-write')
  addressText = $state('')
  portText = $state('')
  register = $state<keyof Registers>('hl')
  readonly #symbols: Readonly<Record<string, number>>

  constructor(symbols: Readonly<Record<string, number>>) {
    this.#symbols = symbols
  }

  /** Null while what is filled in is no address or port. */
  get target(): SearchTarget | null {
    switch (this.kind) {
      case 'port-write':
        return this.#portTarget()
      case 'register-change':
        return { kind: 'register-change', register: this.register }
      case 'memory-write':
      case 'pc': {
        const address = parseAddress(this.addressText, this.#symbols)
        return address === null ? null : { kind: this.kind, address }
      }
    }
  }

  /** Completes "run on to the next …" and "no … after step 7". */
  get name(): string {
    const { target } = this
    switch (target?.kind) {
      case 'port-write':
        return target.port === null ? 'write to a port' : `write to port ${showByte(target.port)}`
      case 'memory-write':
        return `write to ${showWord(target.address)}`
      case 'pc':
        return `instruction at ${showWord(target.address)}`
      case 'register-change':
        return `change of ${wishRegisters.find((row) => row.id === target.register)?.name ?? target.register}`
      default:
        return 'such step'
    }
  }

  /** What is missing, as a sentence; null when it can be looked for, or when nothing has been typed yet. */
  get complaint(): string | null {
    if (this.target !== null) return null
    if (this.kind === 'port-write') return `“${this.portText}” is no port: 00 to FF, or nothing for any port.`
    if (this.addressText.trim() === '') return null
    return `“${this.addressText}” is neither an address (0000 to FFFF) nor a label of the program.`
  }

  /** Takes an instruction of the listing as the aim. */
  aimAt(address: number): void {
    this.kind = 'pc'
    this.addressText = wordDigits(address)
  }

  #portTarget(): SearchTarget | null {
    if (this.portText.trim() === '') return { kind: 'port-write', port: null }
    const port = parseAddress(this.portText, {})
    return port === null || port > 0xff ? null : { kind: 'port-write', port }
  }
}
