/** Plays samples once, only when asked. The level is set where the samples are made. */
export class Ear {
  #context: AudioContext | null = null
  #source: AudioBufferSourceNode | null = null
  #isPlaying = $state(false)

  get isPlaying(): boolean {
    return this.#isPlaying
  }

  get sampleRate(): number {
    this.#context ??= new AudioContext()
    return this.#context.sampleRate
  }

  play(samples: Float32Array<ArrayBuffer>): void {
    this.stop()
    const context = (this.#context ??= new AudioContext())
    void context.resume()
    const buffer = context.createBuffer(1, samples.length, context.sampleRate)
    buffer.copyToChannel(samples, 0)
    const source = context.createBufferSource()
    source.buffer = buffer
    source.connect(context.destination)
    source.onended = () => {
      if (this.#source === source) this.#isPlaying = false
    }
    source.start()
    this.#source = source
    this.#isPlaying = true
  }

  stop(): void {
    this.#source?.stop()
    this.#source = null
    this.#isPlaying = false
  }
}
