import { instructionSet, type Bus, type Cpu } from '../../core/cpu/index.ts'

/** Numbers from a seed: xorshift, 32 bits. */
export function numbersFrom(seed: number): (below: number) => number {
  let state = seed | 0 || 1
  return (below) => {
    state ^= state << 13
    state ^= state >>> 17
    state ^= state << 5
    return (state >>> 0) % below
  }
}

/** Loops that wait, and blocks, as programs have them: what an engine may be tempted to take a shortcut through. */
const idioms = [
  [0x10, 0xfe],
  [0x06, 0x40, 0x10, 0xfe],
  ...[
    [0x01, 0x0b, 0x78, 0xb1],
    [0x01, 0x0b, 0x79, 0xb0],
    [0x11, 0x1b, 0x7a, 0xb3],
    [0x11, 0x1b, 0x7b, 0xb2],
    [0x21, 0x2b, 0x7c, 0xb5],
    [0x21, 0x2b, 0x7d, 0xb4],
  ].map(([load = 0, ...loop]) => [load, 0x30, 0x02, ...loop, 0x20, 0xfb]),
  ...[0xb0, 0xb8, 0xb1, 0xb9, 0xb2, 0xb3, 0xba, 0xbb].map((block) => [0x01, 0x20, 0x03, 0xed, block]),
  [0xfb, 0x76],
  [0xed, 0x5e, 0xfb],
]

/** Fills memory with instructions in a row: every encoding as likely as any other, with idioms among them. */
function fill(memory: Uint8Array, below: (limit: number) => number) {
  let at = 0
  const put = (byte: number) => {
    memory[at & 0xffff] = byte
    at += 1
  }
  while (at < 0x10000) {
    const kind = below(16)
    if (kind === 0) idioms[below(idioms.length)]?.forEach(put)
    else if (kind === 1) put(below(256))
    else {
      const { encoding } = instructionSet[below(instructionSet.length)] ?? { encoding: [] }
      for (const byte of encoding) put(typeof byte === 'number' ? byte : below(256))
    }
  }
}

interface Twin {
  readonly cpu: Cpu
  /** Everything that the bus saw, folded into one number. */
  seen: number
}

/** A machine whose ports answer by port and time alone, and raise and drop interrupt requests as they do so. */
function twin(create: (bus: Bus) => Cpu): Twin {
  const it: { cpu?: Cpu; seen: number } = { seen: 0 }
  const note = (...values: readonly number[]) => {
    for (const value of values) it.seen = Math.imul(it.seen ^ value, 0x01000193)
  }
  const cpu: Cpu = create({
    readPort(port, t) {
      note(1, port, t, cpu.instructionAddress)
      if ((t & 0x1f) === 3) cpu.setInterruptLine(true)
      return (port * 31 + t * 17) & 0xff
    },
    writePort(port, value, t) {
      note(2, port, value, t, cpu.instructionAddress)
      if ((t & 0x1f) === 5) cpu.setInterruptLine(true)
      if ((t & 0x3f) === 6) cpu.requestNmi()
      if ((t & 0x3f) === 9) cpu.requestStop()
    },
    acknowledge(t) {
      note(3, t, cpu.instructionAddress)
      cpu.setInterruptLine(false)
      return (t * 7) & 0xff
    },
    watchedWrite(address, value, t, pc) {
      note(4, address, value, t, pc)
    },
  })
  return Object.assign(it, { cpu })
}

/**
 * Runs random programs on one engine and on another until both have done `steps` steps, comparing all registers, time,
 * memory and bus traffic at the end of each of many runs of random length. Gives what differed first, or null.
 */
export function difference(
  one: (bus: Bus) => Cpu,
  other: (bus: Bus) => Cpu,
  seed: number,
  steps: number,
): string | null {
  const below = numbersFrom(seed)
  const twins = [twin(one), twin(other)] as const
  const [first, second] = twins
  let untilFresh = 0
  for (;;) {
    if (untilFresh === 0) {
      fill(first.cpu.memory, below)
      first.cpu.attributes.fill(0)
      for (let count = below(40); count > 0; count--) first.cpu.attributes[below(0x10000)] = below(8)
      second.cpu.memory.set(first.cpu.memory)
      second.cpu.attributes.set(first.cpu.attributes)
      untilFresh = 40
    }
    untilFresh -= 1
    const words = Array.from({ length: 12 }, () => below(0x10000))
    const [af = 0, bc = 0, de = 0, hl = 0, ix = 0, iy = 0, sp = 0, pc = 0, wz = 0, more = 0, length = 0, line = 0] =
      words
    const start = first.cpu.tStates
    const limit = start + (length < 0x4000 ? length % 200 : length)
    const ends = twins.map(({ cpu }) => {
      cpu.setRegisters({ af, bc, de, hl, ix, iy, sp, pc, wz, isHalted: false })
      cpu.setRegisters({
        i: more & 0xff,
        r: more >> 8,
        im: ([0, 1, 2] as const)[more % 3] ?? 0,
        iff1: (more & 8) !== 0,
      })
      cpu.setInterruptLine(line % 5 === 0)
      const why = cpu.run(limit, line % 3 === 0)
      return JSON.stringify([why, cpu.lastPc, cpu.takeDirtyPages(), cpu.save()])
    })
    const seen = twins.map((each) => each.seen)
    const isSame =
      ends[0] === ends[1] && seen[0] === seen[1] && Buffer.compare(first.cpu.memory, second.cpu.memory) === 0
    if (!isSame) return `seed ${seed}, run of ${limit - start} T from PC ${pc}: ${ends.join('\n')}\n${seen.join(' ')}`
    if (first.cpu.steps >= steps) return null
  }
}
