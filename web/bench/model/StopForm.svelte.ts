import type { AnyRegister } from '../../../core/cpu/index.ts'
import type { Comparison, Stop } from '../../../core/run/index.ts'
import { parseAddress } from '../../machine/parse-address.ts'

/** Registers that a stop can look at, as the trade writes them. */
export const stopRegisters = ['A', 'F', 'B', 'C', 'D', 'E', 'H', 'L', 'BC', 'DE', 'HL', 'IX', 'IY', 'SP'] as const
export const comparisons: readonly Comparison[] = ['=', '≠', '<', '>']

/** A stop as it is being filled in. */
export class StopForm {
  kind = $state<Stop['kind']>('address')
  text = $state('')
  register = $state<(typeof stopRegisters)[number]>('A')
  is = $state<Comparison>('=')

  /** Null while what is filled in is no stop. A port that is left out is any port; a time is in milliseconds. */
  stopFor(symbols: Readonly<Record<string, number>>, clockHz: number): Stop | null {
    const { kind } = this
    const typed = this.text.trim()
    if (kind === 'time') {
      const milliseconds = typed === '' ? Number.NaN : Number(typed.replace(',', '.'))
      return milliseconds >= 0 ? { kind, t: Math.round((milliseconds * clockHz) / 1000) } : null
    }
    const isPort = kind === 'port-read' || kind === 'port-write'
    if (isPort && typed === '') return { kind, port: null }
    const number = parseAddress(typed, kind === 'address' || kind === 'memory-write' ? symbols : {})
    if (number === null) return null
    switch (kind) {
      case 'address':
      case 'memory-write':
        return { kind, address: number }
      case 'port-read':
      case 'port-write':
        return number > 0xff ? null : { kind, port: number }
      case 'register': {
        if (number > (this.register.length === 1 ? 0xff : 0xffff)) return null
        return { kind, register: this.register.toLowerCase() as AnyRegister, is: this.is, value: number }
      }
    }
  }
}
