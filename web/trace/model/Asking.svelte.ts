import type { FlagName, WhyTarget } from '../../../core/diagnosis/index.ts'
import { wordDigits } from '../../../core/image/index.ts'
import { parseAddress } from '../../machine/parse-address.ts'
import { partNamed } from './lane-wish.ts'
import { type Answer, type TraceQuestion, questionWords } from './question.ts'
import type { TraceSession } from './TraceSession.svelte.ts'

export type QuestionKind = Exclude<TraceQuestion['kind'], 'check'>

/** Flags that a program tests, as WhyTarget names them and as the trade does. */
export const askedFlags: readonly { readonly id: FlagName; readonly name: string }[] = [
  { id: 'z', name: 'flag Z' },
  { id: 'c', name: 'flag C' },
  { id: 's', name: 'flag S' },
  { id: 'pv', name: 'flag P/V' },
  { id: 'h', name: 'flag H' },
  { id: 'n', name: 'flag N' },
]

/** What is being asked of the run, and what came back. */
export class Asking {
  kind = $state<QuestionKind>('why')
  /** A register, a flag, `memory` or `port`: what "why" is asked about. */
  about = $state('A')
  addressText = $state('')
  valueText = $state('')
  readonly #session: TraceSession
  readonly #symbols: Readonly<Record<string, number>>
  #asked = $state.raw<TraceQuestion | null>(null)
  #answer = $state.raw<Answer | null>(null)
  #isBusy = $state(false)

  constructor(session: TraceSession, symbols: Readonly<Record<string, number>>) {
    this.#session = session
    this.#symbols = symbols
  }

  get answer(): Answer | null {
    return this.#answer
  }

  get isBusy(): boolean {
    return this.#isBusy
  }

  /** The question that the answer is to; empty before the first one. */
  get words(): string {
    return this.#asked === null ? '' : questionWords(this.#asked)
  }

  /** Null while what is filled in is no question yet. */
  get question(): TraceQuestion | null {
    const view = this.#session.view
    if (view === null) return null
    const { step, t, selection } = view
    const { kind } = this
    switch (kind) {
      case 'why': {
        const target = this.#target()
        return target === null ? null : { kind, target, step }
      }
      case 'last-was': {
        const part = partNamed(this.about)
        const value = parseAddress(this.valueText, {})
        const most = part?.digits === 4 ? 0xffff : 0xff
        return part === null || value === null || value > most ? null : { kind, register: part.name, value, step }
      }
      case 'never':
      case 'visits': {
        const address = this.#address()
        return address === null ? null : { kind, address }
      }
      case 'writers': {
        const address = this.#address()
        return address === null ? null : { kind, address, step }
      }
      case 'usage':
      case 'sweep-gap':
        return { kind, span: selection }
      case 'running-at':
        return { kind, t: this.addressText.trim() === '' ? t : Number(this.addressText.replaceAll(/\D/g, '')) }
      case 'stack-mark':
      case 'unwritten':
        return { kind }
    }
  }

  async ask(question: TraceQuestion | null = this.question): Promise<void> {
    if (question === null || this.#isBusy) return
    this.#asked = question
    this.#answer = null
    this.#isBusy = true
    try {
      this.#answer = await this.#session.ask(question)
    } finally {
      this.#isBusy = false
    }
  }

  /** Why this is what it is, where the cursor stands; fills the form in, too. */
  why(target: WhyTarget): Promise<void> {
    const step = this.#session.view?.step ?? 0
    this.kind = 'why'
    if (target.kind === 'register') this.about = target.register.toUpperCase()
    if (target.kind === 'flag') this.about = target.flag
    if (target.kind === 'memory') [this.about, this.addressText] = ['memory', wordDigits(target.address)]
    return this.ask({ kind: 'why', target, step })
  }

  whyNever(address: number): Promise<void> {
    this.kind = 'never'
    this.addressText = wordDigits(address)
    return this.ask({ kind: 'never', address })
  }

  #target(): WhyTarget | null {
    const flag = askedFlags.find(({ id }) => id === this.about)
    if (flag !== undefined) return { kind: 'flag', flag: flag.id }
    const part = partNamed(this.about)
    if (part !== null) return { kind: 'register', register: part.name.toLowerCase() as never }
    const number = this.#address()
    if (this.about === 'port') {
      if (this.addressText.trim() === '') return { kind: 'port-write', port: null }
      return number === null || number > 0xff ? null : { kind: 'port-write', port: number }
    }
    return number === null ? null : { kind: 'memory', address: number }
  }

  #address(): number | null {
    return parseAddress(this.addressText, this.#symbols)
  }
}
