import { byteDigits, showWord, wordDigits } from '../../../core/image/index.ts'
import type { Stop } from '../../../core/run/index.ts'
import { whole } from '../../words/figures.ts'

/** Where the machine stops, in words: no two stops have the same. */
export function stopWords(stop: Stop): string {
  switch (stop.kind) {
    case 'address':
      return `before ${showWord(stop.address)}`
    case 'memory-write':
      return `${showWord(stop.address)} is written`
    case 'port-write':
    case 'port-read': {
      const port = stop.port === null ? 'any port' : `port ${byteDigits(stop.port)}`
      return `${port} is ${stop.kind === 'port-write' ? 'written' : 'read'}`
    }
    case 'time':
      return `at T-state ${whole(stop.t)}`
    case 'register': {
      const digits = stop.register.length === 1 ? byteDigits(stop.value) : wordDigits(stop.value)
      return `${stop.register.toUpperCase()} ${stop.is} ${digits}h`
    }
  }
}
