import { bytesOfHex, powerOn } from '../board/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr, Byte, Registers } from '../cpu/index.ts'
import { Random } from './random.ts'
import type { Fill, RunRequest } from './request.ts'

/** What each byte of RAM holds after power-on; a number where it is the same for all. */
export function filler(fill: Fill): Byte | ((address: Addr) => Byte) {
  if ('byte' in fill) return fill.byte & 0xff
  if ('word' in fill) return (address) => (fill.word >> (8 * (address & 1))) & 0xff
  const random = new Random(fill.seed)
  const mask = fill.isInverted === true ? 0xff : 0
  return () => random.byte() ^ mask
}

/**
 * Memory when the program starts: fill, firmware and what it has made ready, image, given bytes and, where the program
 * ends with RET, the return address on the stack. "Unchanged elsewhere" is told against this.
 */
export function memoryAtStart(request: RunRequest): Uint8Array {
  const memory = new Uint8Array(0x10000)
  writeStart(memory, request)
  return memory
}

/** The same into the memory of a machine. */
export function writeStart(memory: Uint8Array, request: RunRequest): void {
  const { profile, image, given } = request
  powerOn(memory, profile, filler(given.fill))
  for (const { at, hex } of profile.firmware.ready) put(memory, at, bytesOfHex(hex))
  for (const { start, bytes } of image.segments) put(memory, start, bytes)
  for (const { at, bytes } of given.memory) put(memory, at, bytes)
  if (request.ends === 'return') {
    const back = returnAddress(profile)
    put(memory, stackAtStart(request) - 2, [back & 0xff, back >> 8])
  }
}

function put(memory: Uint8Array, at: Addr, bytes: ArrayLike<Byte>): void {
  for (let i = 0; i < bytes.length; i++) memory[(at + i) & 0xffff] = bytes[i] ?? 0
}

/** SP before the return address is pushed: what a balanced program has at its RET's end. */
export function stackAtStart({ profile, given }: RunRequest): Addr {
  return given.registers.sp ?? profile.layout.stackTop
}

/** Where a program's last RET goes: back to the firmware, else to the highest address that holds no RAM. */
export function returnAddress(profile: BoardProfile): Addr {
  if (profile.firmware.returnTo !== null) return profile.firmware.returnTo
  const isRam = (address: Addr) =>
    profile.memory.some(({ kind, from, to }) => kind === 'ram' && from <= address && address <= to)
  for (let address = 0xffff; address > 0; address--) if (!isRam(address)) return address
  return 0
}

/** Registers when the program starts. */
export function registersAtStart(request: RunRequest): Registers {
  const { fill, registers } = request.given
  // Another stream than that of memory, so that a register never repeats the first bytes of RAM.
  const random = 'seed' in fill ? new Random(fill.seed ^ 0x5eed) : null
  const word = () => ('byte' in fill ? (fill.byte & 0xff) * 0x101 : (random?.word() ?? 0))
  // Field by field: an object made of spreads is a slow one for as long as it lives.
  const start: Registers = {
    af: word(),
    bc: word(),
    de: word(),
    hl: word(),
    af_: word(),
    bc_: word(),
    de_: word(),
    hl_: word(),
    ix: word(),
    iy: word(),
    sp: 0,
    pc: 0,
    i: 0,
    r: 0,
    wz: 0,
    q: 0,
    im: request.profile.timer?.interruptMode ?? 0,
    iff1: false,
    iff2: false,
    isHalted: false,
  }
  Object.assign(start, registers)
  const sp = request.ends === 'return' ? (stackAtStart(request) - 2) & 0xffff : stackAtStart(request)
  start.sp = sp
  start.pc = request.entry
  return start
}
