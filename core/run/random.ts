/**
 * Numbers that look like chance and are the same for the same seed, anywhere: splitmix32 (public domain, Steele, Lea and
 * Flood 2014, in its usual 32-bit form; from memory).
 */
export class Random {
  #state: number

  /** `seed` counts modulo 2^32. */
  constructor(seed: number) {
    this.#state = seed | 0
  }

  /** 0 to 2^32 − 1. */
  word32(): number {
    this.#state = (this.#state + 0x9e3779b9) | 0
    let z = this.#state
    z = Math.imul(z ^ (z >>> 16), 0x21f0aaad)
    z = Math.imul(z ^ (z >>> 15), 0x735a2d97)
    return (z ^ (z >>> 15)) >>> 0
  }

  byte(): number {
    return this.word32() >>> 24
  }

  /** 0 to 65535. */
  word(): number {
    return this.word32() >>> 16
  }

  /** A whole number from 0 to `below` − 1; `below` up to 2^32. */
  under(below: number): number {
    return Math.floor((this.word32() / 0x100000000) * below)
  }
}
