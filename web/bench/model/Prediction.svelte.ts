import type { Registers } from '../../../core/cpu/index.ts'
import { showByte, showWord } from '../../../core/image/index.ts'
import { parseAddress } from '../../machine/parse-address.ts'

/** Registers that can be hidden, as the trade writes them. */
export const hideable = ['A', 'F', 'B', 'C', 'D', 'E', 'H', 'L', 'BC', 'DE', 'HL', 'IX', 'IY', 'SP'] as const
export type Hideable = (typeof hideable)[number]

/** What a prediction came to. */
export interface Outcome {
  readonly name: Hideable
  readonly said: number
  readonly was: number
  readonly isRight: boolean
}

/** Predict, then look: a register is hidden, one says what the next step will make of it, and only then steps. */
export class Prediction {
  name = $state<Hideable>('A')
  /** Hexadecimal, as it is typed. */
  text = $state('')
  #isOn = $state(false)
  #waiting: { readonly name: Hideable; readonly said: number } | null = null
  #outcome = $state.raw<Outcome | null>(null)
  #right = $state(0)
  #asked = $state(0)

  get isOn(): boolean {
    return this.#isOn
  }

  /** The register that must not be shown; null when nothing is hidden. */
  get hidden(): Hideable | null {
    return this.#isOn ? this.name : null
  }

  /** Of the last step that was predicted. */
  get outcome(): Outcome | null {
    return this.#outcome
  }

  get score(): { readonly right: number; readonly asked: number } {
    return { right: this.#right, asked: this.#asked }
  }

  get guess(): number | null {
    const value = parseAddress(this.text, {})
    return value === null || value > (this.name.length === 1 ? 0xff : 0xffff) ? null : value
  }

  turn(): void {
    this.#isOn = !this.#isOn
    this.#outcome = null
    this.#waiting = null
    this.#right = 0
    this.#asked = 0
    this.text = ''
  }

  /** Takes the guess; false where there is none yet. The machine is to be stepped then. */
  commit(): boolean {
    const said = this.guess
    if (!this.#isOn || said === null) return false
    this.#waiting = { name: this.name, said }
    this.text = ''
    return true
  }

  /** The registers after the step that was predicted. */
  look(registers: Registers): void {
    if (this.#waiting === null) return
    const { name, said } = this.#waiting
    this.#waiting = null
    const was = valueOf(registers, name)
    this.#asked += 1
    if (was === said) this.#right += 1
    this.#outcome = { name, said, was, isRight: was === said }
  }
}

/** `A is 0Bh, as you said.`, `A is 0Bh; you said 0Ah.` */
export function outcomeWords({ name, said, was, isRight }: Outcome): string {
  const show = name.length === 1 ? showByte : showWord
  return isRight ? `${name} is ${show(was)}, as you said.` : `${name} is ${show(was)}; you said ${show(said)}.`
}

const halves: Readonly<Record<string, readonly [pair: 'af' | 'bc' | 'de' | 'hl', shift: 0 | 8]>> = {
  ...{ A: ['af', 8], F: ['af', 0], B: ['bc', 8], C: ['bc', 0], D: ['de', 8], E: ['de', 0], H: ['hl', 8], L: ['hl', 0] },
}

function valueOf(registers: Registers, name: Hideable): number {
  const half = halves[name]
  if (half !== undefined) return (registers[half[0]] >> half[1]) & 0xff
  return Number(registers[name.toLowerCase() as 'bc' | 'de' | 'hl' | 'ix' | 'iy' | 'sp'])
}
