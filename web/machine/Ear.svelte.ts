/** Samples that arrive piece by piece begin this much later, so that the next is there before the last has ended. */
const headStart = 0.06

/** Plays samples, only when asked. The level is set where the samples are made. */
export class Ear {
  #context: AudioContext | null = null
  #source: AudioBufferSourceNode | null = null
  #next = 0
  #isPlaying = $state(false)

  get isPlaying(): boolean {
    return this.#isPlaying
  }

  get sampleRate(): number {
    return this.#wake().sampleRate
  }

  /** Plays these once, in place of what is playing. */
  play(samples: Float32Array<ArrayBuffer>): void {
    this.stop()
    const source = this.#start(samples, 0)
    source.onended = () => {
      if (this.#source === source) this.#isPlaying = false
    }
    this.#isPlaying = true
  }

  /** Goes on with these where the ones before end; after a pause it begins anew. */
  append(samples: Float32Array<ArrayBuffer>): void {
    if (samples.length === 0) return
    const { currentTime, sampleRate } = this.#wake()
    if (this.#next < currentTime) this.#next = currentTime + headStart
    // More than this ahead means that the board ran faster than the clock of the sound: drop rather than lag.
    if (this.#next > currentTime + 4 * headStart) return
    this.#start(samples, this.#next)
    this.#next += samples.length / sampleRate
    this.#isPlaying = true
  }

  stop(): void {
    this.#source?.stop()
    this.#source = null
    this.#next = 0
    this.#isPlaying = false
  }

  #wake(): AudioContext {
    this.#context ??= new AudioContext()
    if (this.#context.state === 'suspended') void this.#context.resume()
    return this.#context
  }

  #start(samples: Float32Array<ArrayBuffer>, at: number): AudioBufferSourceNode {
    const context = this.#wake()
    const buffer = context.createBuffer(1, samples.length, context.sampleRate)
    buffer.copyToChannel(samples, 0)
    const source = context.createBufferSource()
    source.buffer = buffer
    source.connect(context.destination)
    source.start(at)
    this.#source = source
    return source
  }
}
