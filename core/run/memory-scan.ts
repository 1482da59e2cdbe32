import { memoryReads } from '../cpu/index.ts'
import type { Addr, AddressRegister, Byte, TState } from '../cpu/index.ts'
import type { Replay } from './replay.ts'

/** Told what each step does to memory, in the order in which it does so. `pc` and `t` are those of the step's begin. */
export interface MemoryVisitor {
  readonly read?: (address: Addr, value: Byte, step: number, pc: Addr, t: TState) => void
  /** A write that ROM ignored has `value` equal to `before`. */
  readonly write?: (address: Addr, before: Byte, value: Byte, step: number, pc: Addr, t: TState) => void
}

const registerCodes: readonly AddressRegister[] = ['bc', 'de', 'hl', 'ix', 'iy', 'sp']
const absolute = registerCodes.length
/** What a device that drives nothing leaves on the bus: the low half of a vector in mode 2. */
const idleBus = 0xff

/** Executes the steps `from` to `to` (excluded) again and tells of every byte that was read as data and every write. */
export function scanMemory(replay: Replay, from: number, to: number, visitor: MemoryVisitor): void {
  const { read, write } = visitor
  const memory = replay.seek(from).memory.slice()
  const plans = new ReadPlans(memory)
  replay.scan(from, to, (trace, first, count) => {
    const [timeOf, pcOf, kindOf, writesOf] = [trace.times(), trace.column('pc'), trace.kinds(), trace.writeCounts()]
    const [spOf, imOf, iOf] = [trace.column('sp'), trace.column('im'), trace.column('i')]
    const columns = [...registerCodes.map((name) => trace.column(name)), () => 0]
    const isMoved = (k: number) => spOf(k) !== (k + 1 < count ? spOf(k + 1) : replay.machine.registers().sp)
    const readAt = (address: Addr, k: number) => read?.(address, memory[address] ?? 0, first + k, pcOf(k), timeOf(k))
    for (let k = 0; k < count; k++) {
      const kind = kindOf(k)
      if (kind === 0) {
        const pc = pcOf(k)
        const bytes = plans.bytesAt(pc)
        if (bytes !== 0 && (!plans.isConditional(pc) || isMoved(k))) {
          const at = (columns[plans.register[pc] ?? absolute]?.(k) ?? 0) + (plans.offset[pc] ?? 0)
          readAt(at & 0xffff, k)
          if (bytes === 2) readAt((at + 1) & 0xffff, k)
        }
      }
      for (let which = 0; which < writesOf(k); which++) {
        const packed = trace.writeAt(k, which)
        const address = packed & 0xffff
        const value = packed >>> 24
        write?.(address, (packed >>> 16) & 0xff, value, first + k, pcOf(k), timeOf(k))
        memory[address] = value
        plans.forget(address)
      }
      // Pushed first, then the vector is fetched.
      if (kind === 1 && imOf(k) === 2) {
        const vector = (iOf(k) << 8) | idleBus
        readAt(vector, k)
        readAt((vector + 1) & 0xffff, k)
      }
    }
  })
}

/** What the instruction at each address reads: one byte or two on end. Worked out when it is first executed. */
class ReadPlans {
  /** Index in `registerCodes`, or `absolute`. */
  readonly register = new Uint8Array(0x10000)
  readonly offset = new Int32Array(0x10000)
  /** 0 not known yet; else bytes read plus 1, `conditional`, `unkept`. */
  readonly #plan = new Uint8Array(0x10000)
  readonly #memory: Uint8Array

  constructor(memory: Uint8Array) {
    this.#memory = memory
  }

  bytesAt(pc: Addr): number {
    let plan = this.#plan[pc] ?? 0
    if (plan === 0 || (plan & unkept) !== 0) plan = this.#make(pc)
    return (plan & 3) - 1
  }

  isConditional(pc: Addr): boolean {
    return ((this.#plan[pc] ?? 0) & conditional) !== 0
  }

  /** To be told of each write: the byte may belong to an instruction. */
  forget(address: Addr): void {
    for (let back = 0; back < longest; back++) this.#plan[(address - back) & 0xffff] = 0
  }

  #make(pc: Addr): number {
    let start = pc
    const byteAt = (offset: number) => this.#memory[(start + offset) & 0xffff] ?? 0
    // Of several prefixes DD and FD in a row the last one counts.
    while (isPrefix(byteAt(0)) && (isPrefix(byteAt(1)) || byteAt(1) === 0xed) && start - pc < mostPrefixes) start += 1
    const [one, two] = memoryReads(byteAt)
    if (one !== undefined) {
      this.register[pc] = one.register === null ? absolute : registerCodes.indexOf(one.register)
      this.offset[pc] = one.offset
    }
    const bytes = one === undefined ? 0 : two === undefined ? 1 : 2
    // `forget` looks back over one instruction, not over a row of prefixes: those are worked out each time.
    const plan = (bytes + 1) | (one?.isConditional === true ? conditional : 0) | (start === pc ? 0 : unkept)
    this.#plan[pc] = plan
    return plan
  }
}

const conditional = 4
const unkept = 8
/** Bytes of an instruction without superfluous prefixes. */
const longest = 4
const mostPrefixes = 0x10000
const isPrefix = (byte: Byte) => byte === 0xdd || byte === 0xfd
