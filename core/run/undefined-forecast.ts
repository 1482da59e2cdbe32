import type { Addr, Registers } from '../cpu/index.ts'
import { bitsOfParts, type FlowPlan } from './flow-plan.ts'
import { definedByte, joinedByte, Origins, type ByteOrigin, type ByteOrigins } from './undefined-origins.ts'

/** Instructions in their contexts, and walks over one: past these the run is followed step by step as before. */
const [mostPlaces, mostWalks, deepest] = [800, 6_000, 16]
const stackPointer = bitsOfParts('SP')

/** What a forecast starts from: a run that stands before an instruction. */
export interface Standing {
  readonly at: Addr
  readonly registers: Registers
  readonly memory: Uint8Array
  readonly origins: Origins
  /** Where the value of a byte came from. */
  readonly byteOrigin: (address: Addr) => ByteOrigin
  /** Instructions that have been executed by now. At others the run is sure to be stopped. */
  readonly plans: ReadonlyMap<Addr, FlowPlan>
  /** Whether the run is sure to be stopped where an instruction would read something undefined. */
  readonly isReadWatched: (at: Addr) => boolean
}

/** What may be true wherever the run may be until it comes to an instruction that is new. */
export interface Forecast {
  readonly sites: ReadonlySet<Addr>
  /** Some of them read where a register points. */
  readonly hasPointerReads: boolean
  /** Bytes that may come to hold what nothing set. */
  readonly touched: ReadonlySet<Addr>
  /** Those of them that are stored to other than by PUSH. */
  readonly stored: ReadonlySet<Addr>
  /** A bit for each part that may be set. */
  readonly writes: number
  /** Where the values came from, before the instruction at `pc`; null where the run was not expected. */
  stateAt(pc: Addr, sp: Addr): { readonly origins: Origins; readonly bytes: ByteOrigins } | null
}

/** A call that has not come back. */
interface Frame {
  readonly id: number
  readonly slot: Addr
  readonly back: Addr
  readonly up: Frame | null
  readonly depth: number
}

/** An instruction in one context: SP, and the calls that lead there. */
interface Place {
  readonly pc: Addr
  readonly sp: Addr
  readonly frame: Frame | null
  readonly origins: Origins
  readonly bytes: Map<Addr, ByteOrigin>
  isWaiting: boolean
}

/**
 * Walks over all ways that the run may take through the instructions that it has executed before, without executing them.
 * SP and the addresses of calls are known exactly; of a value it is known where it may have come from. Null where a branch,
 * an address or a port may hang on a value that nothing set, or where that cannot be told: then the run is to be followed
 * step by step. It takes for granted that nothing but calls, pushes and stores to fixed addresses writes over the stack.
 */
export function forecast(from: Standing): Forecast | null {
  const walk = new Walk(from)
  return walk.isDone() ? walk : null
}

class Walk implements Forecast {
  readonly sites = new Set<Addr>()
  readonly touched = new Set<Addr>()
  readonly stored = new Set<Addr>()
  hasPointerReads = false
  writes = 0
  readonly #from: Standing
  readonly #places = new Map<number, Place>()
  readonly #frames = new Map<string, Frame>()
  readonly #waiting: Place[] = []
  #isLost = false

  constructor(from: Standing) {
    this.#from = from
    const { at, registers, origins } = from
    this.#arrive(at, registers.sp, null, origins, new Map())
  }

  isDone(): boolean {
    for (let walks = 0; !this.#isLost; walks++) {
      const place = this.#waiting.pop()
      if (place === undefined) return true
      place.isWaiting = false
      if (walks > mostWalks) return false
      const plan = this.#from.plans.get(place.pc)
      if (plan !== undefined && !this.#pass(place, plan)) return false
    }
    return false
  }

  stateAt(pc: Addr, sp: Addr): { readonly origins: Origins; readonly bytes: ByteOrigins } | null {
    let found: Place | null = null
    for (const place of this.#places.values()) {
      if (place.pc !== pc || place.sp !== sp) continue
      if (found === null) found = { ...place, origins: new Origins(place.origins), bytes: new Map(place.bytes) }
      else {
        found.origins.join(place.origins)
        this.#joinBytes(found.bytes, place.bytes)
      }
    }
    return found
  }

  /** One instruction; false where nobody can tell what comes of it. */
  #pass(place: Place, plan: FlowPlan): boolean {
    const { pc, sp, frame, origins, bytes } = place
    const { flow } = plan
    if (plan.showsStack) return false
    const { memory, registers } = this.#from
    this.sites.add(pc)
    this.writes |= flow.writes
    const own = Array.from({ length: plan.length }, (_, i) => memory[(pc + i) & 0xffff] ?? 0)
    const before = { registers: { ...registers, pc, sp }, bytes: own, read: () => 0 }
    const isPointer = plan.readsAt === 'anywhere'
    if (isPointer) {
      if (!this.#from.isReadWatched(pc)) return false
      this.hasPointerReads = true
    }
    const made = origins.made(plan, (index) => {
      const address = isPointer ? undefined : flow.memoryReads[index]?.address(before)
      // What a register points to is defined, or else the run is stopped there.
      return address === undefined ? definedByte : this.#byteAt(bytes, address)
    })
    if (made.isUse) return false
    const nextSp = spAfter(plan, sp, own)
    if (nextSp === null) return false
    const after = new Origins(origins)
    after.take(made)
    const stored = new Map(bytes)
    for (const [i, { address, addressFrom }] of flow.memoryWrites.entries()) {
      const value = made.bytes[i] ?? definedByte
      if ((addressFrom.parts & ~stackPointer) !== 0) {
        if (value.label !== 0) return false
        continue
      }
      const at = address(before)
      stored.set(at, value)
      const isPush = nextSp !== sp
      for (let each = isPush ? null : frame; each !== null; each = each.up)
        if (at === each.slot || at === ((each.slot + 1) & 0xffff)) return false
      if (value.label === 0) continue
      this.touched.add(at)
      if (!isPush) this.stored.add(at)
    }
    const next = (pc + plan.length) & 0xffff
    const { jump } = flow
    if (jump === null || jump.when !== null) {
      // Where a call or a return is not taken nothing is pushed or popped.
      const isTaken = jump === null
      this.#arrive(next, isTaken ? nextSp : sp, isTaken ? shed(frame, nextSp) : frame, after, isTaken ? stored : bytes)
    }
    if (jump === null) return true
    if (jump.isFixed) {
      const isCall = flow.memoryWrites.length === 2 && nextSp !== sp
      const inner = isCall ? this.#frame(frame, nextSp, next) : frame
      if (isCall && inner === null) return false
      this.#arrive(jump.to(before), nextSp, inner, after, stored)
      return true
    }
    const back = plan.readsAt === 'stack' ? this.#returnAddress(frame, sp, bytes) : null
    if (back === null) return false
    this.#arrive(back, nextSp, shed(frame, nextSp), after, stored)
    return true
  }

  /** The word on the stack, where it is one that a call has left there. */
  #returnAddress(frame: Frame | null, sp: Addr, bytes: ByteOrigins): Addr | null {
    if (frame !== null) return frame.slot === sp ? frame.back : null
    const above = (sp + 1) & 0xffff
    if (bytes.has(sp) || bytes.has(above)) return null
    const { memory } = this.#from
    return (memory[sp] ?? 0) | ((memory[above] ?? 0) << 8)
  }

  #frame(up: Frame | null, slot: Addr, back: Addr): Frame | null {
    const key = `${up?.id ?? 0} ${slot} ${back}`
    const known = this.#frames.get(key)
    if (known !== undefined) return known
    const depth = (up?.depth ?? 0) + 1
    if (depth > deepest) return null
    const made = { id: this.#frames.size + 1, slot, back, up, depth }
    this.#frames.set(key, made)
    return made
  }

  #arrive(pc: Addr, sp: Addr, frame: Frame | null, origins: Origins, bytes: Map<Addr, ByteOrigin>): void {
    const key = ((frame?.id ?? 0) * 0x10000 + pc) * 0x10000 + sp
    const known = this.#places.get(key)
    if (known === undefined) {
      if (this.#places.size >= mostPlaces) this.#isLost = true
      const place = { pc, sp, frame, origins: new Origins(origins), bytes: new Map(bytes), isWaiting: true }
      this.#places.set(key, place)
      this.#waiting.push(place)
      return
    }
    const isMore = known.origins.join(origins)
    if ((this.#joinBytes(known.bytes, bytes) || isMore) && !known.isWaiting) {
      known.isWaiting = true
      this.#waiting.push(known)
    }
  }

  /** True where `into` has changed. */
  #joinBytes(into: Map<Addr, ByteOrigin>, other: ByteOrigins): boolean {
    let isMore = false
    for (const address of new Set([...into.keys(), ...other.keys()])) {
      const either = joinedByte(this.#byteAt(into, address), this.#byteAt(other, address))
      if (either === null && into.has(address)) continue
      into.set(address, either ?? this.#byteAt(into, address))
      isMore = true
    }
    return isMore
  }

  #byteAt(bytes: ByteOrigins, address: Addr): ByteOrigin {
    return bytes.get(address) ?? this.#from.byteOrigin(address)
  }
}

/** The calls that are still to come back once SP stands there. */
function shed(frame: Frame | null, sp: Addr): Frame | null {
  let rest = frame
  while (rest !== null && rest.slot < sp) rest = rest.up
  return rest
}

/** Null where it cannot be told from the bytes. */
function spAfter({ flow }: FlowPlan, sp: Addr, bytes: readonly number[]): Addr | null {
  if ((flow.writes & stackPointer) === 0) return sp
  const [word = ''] = flow.text.split(' ')
  if (['PUSH', 'CALL', 'RST'].includes(word)) return (sp - 2) & 0xffff
  if (['POP', 'RET', 'RETI', 'RETN'].includes(word)) return (sp + 2) & 0xffff
  if (flow.text === 'INC SP') return (sp + 1) & 0xffff
  if (flow.text === 'DEC SP') return (sp - 1) & 0xffff
  return flow.text === 'LD SP,nn' ? (bytes[1] ?? 0) | ((bytes[2] ?? 0) << 8) : null
}
