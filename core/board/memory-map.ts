import type { Addr, Byte } from '../cpu/index.ts'
import type { BoardProfile } from './profile.ts'

/** Two hexadecimal digits a byte, nothing between them. */
export function bytesOfHex(hex: string): Uint8Array {
  return Uint8Array.from({ length: hex.length >> 1 }, (_, k) => Number.parseInt(hex.slice(2 * k, 2 * k + 2), 16))
}

/** Pages of 256 bytes that hold RAM, in ascending order: all that a run can change. */
export function ramPages(profile: BoardProfile): readonly number[] {
  const pages = profile.memory
    .filter(({ kind }) => kind === 'ram')
    .flatMap(({ from, to }) => Array.from({ length: (to >> 8) - (from >> 8) + 1 }, (_, k) => (from >> 8) + k))
  return [...new Set(pages)]
}

const bases = new WeakMap<BoardProfile, Uint8Array>()

/** Memory without its RAM: firmware in ROM, FFh where nothing is. Made once for each profile. */
function baseOf(profile: BoardProfile): Uint8Array {
  const known = bases.get(profile)
  if (known !== undefined) return known
  const base = new Uint8Array(0x10000).fill(0xff)
  const rom = profile.memory.find(({ kind }) => kind === 'rom')
  if (rom !== undefined) base.set(bytesOfHex(profile.firmware.hex).subarray(0, rom.to - rom.from + 1), rom.from)
  bases.set(profile, base)
  return base
}

/** Fills `memory` as power-on leaves it: firmware in ROM, in RAM `fill` (one byte, or one for each address), else FFh. */
export function powerOn(memory: Uint8Array, profile: BoardProfile, fill: Byte | ((address: Addr) => Byte)): void {
  memory.set(baseOf(profile))
  for (const { kind, from, to } of profile.memory) {
    if (kind !== 'ram') continue
    if (typeof fill === 'number') memory.fill(fill, from, to + 1)
    else for (let address = from; address <= to; address++) memory[address] = fill(address)
  }
}

/** The stretches of addresses (both ends included) that hold no RAM. */
export function readOnlyStretches(profile: BoardProfile): readonly { readonly from: Addr; readonly to: Addr }[] {
  const ram = profile.memory.filter(({ kind }) => kind === 'ram')
  const starts = [0, ...ram.map(({ to }) => to + 1)]
  const ends = [...ram.map(({ from }) => from - 1), 0xffff]
  return starts.flatMap((from, k) => {
    const to = ends[k] ?? 0xffff
    return from <= to ? [{ from, to }] : []
  })
}
