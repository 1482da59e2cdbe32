import { Ear, Sampler } from '../../machine/index.ts'
import type { SpeakerSpan } from '../worker/protocol.ts'

/** The speaker of the bench: silent until it is asked for. */
export class Listening {
  readonly #clockHz: number
  readonly #ear = new Ear()
  #sampler: Sampler | null = null
  #isOn = $state(false)

  constructor(clockHz: number) {
    this.#clockHz = clockHz
  }

  get isOn(): boolean {
    return this.#isOn
  }

  /** Called from a click: a browser gives no sound without one. */
  toggle(): void {
    this.#isOn = !this.#isOn
    if (this.#isOn) this.#sampler = new Sampler(this.#clockHz, this.#ear.sampleRate)
    else this.stop()
  }

  hear(span: SpeakerSpan): void {
    if (!this.#isOn || this.#sampler === null) return
    this.#ear.append(this.#sampler.samples(span, this.#ear.sampleRate))
  }

  stop(): void {
    this.#isOn = false
    this.#ear.stop()
  }
}
