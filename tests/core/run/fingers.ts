import type { Machine } from '../../../core/run/index.ts'

/** T-states of a millisecond at 2.5 MHz. */
export const ms = 2500

/** The digits as an eye sees them; a point stands behind its digit when `points` is asked for. */
export function shown(machine: Machine, { points = false } = {}): string {
  return machine
    .digitsNow()
    .map(({ glyph, segments }) => (points && (segments & 0x80) !== 0 ? `${glyph}.` : glyph))
    .join('')
}

/** Presses and lets go keys one after the other, as a finger does. */
export function tap(machine: Machine, ...keys: readonly string[]): void {
  for (const key of keys) {
    machine.press(key)
    machine.runUntil(machine.tStates + 60 * ms)
    machine.release(key)
    machine.runUntil(machine.tStates + 60 * ms)
  }
}
