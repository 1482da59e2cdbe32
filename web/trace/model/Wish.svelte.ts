import { showByte, showWord, wordDigits } from '../../../core/image/index.ts'
import type { RegisterName, SearchTarget } from '../../../core/run/index.ts'
import { partNamed } from './lane-wish.ts'
import { parseAddress } from '../../machine/parse-address.ts'

export type WishKind =
  'port-write' | 'memory-write' | 'memory-read' | 'register-change' | 'register-is' | 'pc' | 'breakpoint' | 'same-sp'

/** What to run on or back to, as it is being filled in. */
export class Wish {
  kind = $state<WishKind>('port-write')
  addressText = $state('')
  portText = $state('')
  /** As `registerParts` names it. */
  register = $state('HL')
  valueText = $state('')
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
        return { kind: 'register-change', register: registerOf(this.register) }
      case 'register-is': {
        const value = parseAddress(this.valueText, {})
        const most = partNamed(this.register)?.digits === 4 ? 0xffff : 0xff
        if (value === null || value > most) return null
        return { kind: 'register-is', register: registerOf(this.register), value }
      }
      case 'same-sp':
        return { kind: 'same-sp' }
      case 'breakpoint': {
        const words = this.addressText.split(/[\s,]+/).filter((word) => word !== '')
        const addresses = words.flatMap((word) => parseAddress(word, this.#symbols) ?? [])
        return addresses.length === 0 || addresses.length < words.length ? null : { kind: 'breakpoint', addresses }
      }
      case 'memory-write':
      case 'memory-read':
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
        return `change of ${this.register}`
      case 'register-is':
        return `step with ${this.register} = ${this.valueText.trim().toUpperCase()}h`
      case 'memory-read':
        return `read of ${showWord(target.address)}`
      case 'breakpoint':
        return `stop at ${target.addresses.map(showWord).join(' or ')}`
      case 'same-sp':
        return 'step with this SP after another'
      default:
        return 'such step'
    }
  }

  /** What is missing, as a sentence; null when it can be looked for, or when nothing has been typed yet. */
  get complaint(): string | null {
    if (this.target !== null) return null
    if (this.kind === 'register-is')
      return this.valueText.trim() === '' ? null : `“${this.valueText}” is no value that ${this.register} can have.`
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

function registerOf(name: string): RegisterName {
  return name.toLowerCase() as RegisterName
}
