import {
  always,
  lastRecord,
  layout,
  mode,
  ownAttribute,
  reason,
  recordBehind,
  registerAt,
  traceRecord,
} from './layout.ts'
import { attribute } from './cpu.ts'

/**
 * A chain of prefixes is one instruction and could go around memory for ever; past the limit by this many T-states it is
 * cut. More than any program needs, less than `layout.counts` can count.
 */
export const longestChain = 50_000

/**
 * Looks around before the instruction at `pc`. Called by the TypeScript interpreter only when there may be something to
 * see; the WebAssembly interpreter has the same in `generate/wasm-attend.ts`. Gives a `reason`, or 0 to go on.
 */
export function attend(m: Uint8Array, w: Uint16Array, v: Int32Array, pc: number, t: number, counts: number): number {
  const long = (address: number) => v[address >> 2] ?? 0
  const limit = long(layout.limit)
  if (long(layout.prefixAt) === t && t < limit + longestChain) return reason.none
  if (m[layout.halted] !== 0) return reason.halted
  if (t >= limit) return reason.limit
  const mayInterrupt = long(layout.interruptLine) !== 0 && m[layout.iff1] !== 0
  if (long(layout.nmi) !== 0 || (mayInterrupt && long(layout.holdAt) !== t)) return reason.interrupt
  const modes = long(layout.mode)
  const isMarked = ((m[layout.attributes + pc] ?? 0) & attribute.stopAt) !== 0
  if (isMarked && (modes & mode.passStops) === 0) {
    const passes = long(layout.passes)
    if (passes === 0 || pc !== long(layout.passAt)) {
      if (!isSpared(m, w, pc)) return reason.stopAt
    } else v[layout.passes >> 2] = passes - 1
  }
  if (modes === 0) {
    if (!mayInterrupt) v[layout.attendFrom >> 2] = limit
    return reason.none
  }
  if ((modes & mode.countSteps) !== 0) {
    const left = long(layout.stepsLeft)
    if (left === 0) return reason.steps
    v[layout.stepsLeft >> 2] = left - 1
  }
  if ((modes & mode.lowestSp) !== 0) {
    v[layout.lowestSp >> 2] = Math.min(long(layout.lowestSp), w[registerAt.SP >> 1] ?? 0)
  }
  if ((modes & mode.trace) !== 0) traceStep(m, w, v, pc, t, counts, 0)
  return reason.none
}

/** Whether an instruction marked `onlyForUndefined` reads nothing undefined. */
function isSpared(m: Uint8Array, w: Uint16Array, pc: number): boolean {
  if (((m[layout.attributes + pc] ?? 0) & attribute.onlyForUndefined) === 0) return false
  const opcode = m[pc] ?? 0
  const next = m[pc + 1] ?? 0
  const isStack = isStackRead(opcode, next)
  const offset = isIndexPrefix(opcode) && !isStack ? ((m[pc + 2] ?? 0) << 24) >> 24 : 0
  const from = ((w[readPointerAt(opcode, next) >> 1] ?? 0) + offset) & 0xffff
  const second = isStack ? (from + 1) & 0xffff : from
  const bits = (m[layout.attributes + from] ?? 0) | (m[layout.attributes + second] ?? 0)
  return (bits & attribute.undefined) === 0
}

const isIndexPrefix = (opcode: number): boolean => (opcode & 0xdf) === 0xdd

/** RET, RET cc, POP, EX (SP); RETN and RETI; POP and EX of IX and IY. Asked only of instructions that read memory by a register. */
function isStackRead(opcode: number, next: number): boolean {
  if (isIndexPrefix(opcode)) return (next & 0xfd) === 0xe1
  if (opcode === 0xed) return (next & 0xc7) === 0x45
  return (opcode & 0xc0) === 0xc0 && opcode !== 0xcb
}

/** Where the register lies by which an instruction reads memory. */
function readPointerAt(opcode: number, next: number): number {
  if (isStackRead(opcode, next)) return registerAt.SP
  if (isIndexPrefix(opcode)) return opcode === 0xdd ? registerAt.IX : registerAt.IY
  return opcode === 0x0a ? registerAt.BC : opcode === 0x1a ? registerAt.DE : registerAt.HL
}

/** Begins the next record of the trace ring. `kind` as in `traceRecord`. */
export function traceStep(
  m: Uint8Array,
  w: Uint16Array,
  v: Int32Array,
  pc: number,
  t: number,
  counts: number,
  kind: number,
) {
  const at = recordBehind(v[layout.traceAt >> 2] ?? lastRecord)
  m.copyWithin(at, layout.registers, layout.registers + 32)
  w[(at + layout.pc - layout.registers) >> 1] = pc
  v[(at + traceRecord.t) >> 2] = t
  m[at + traceRecord.r] = (m[layout.r7] ?? 0) | ((counts + (v[layout.rBase >> 2] ?? 0)) & 0x7f)
  m[at + traceRecord.writes] = 0
  m[at + traceRecord.flagsChanged] = Number(v[layout.flagsAt >> 2] === t)
  m[at + traceRecord.kind] = kind
  v[layout.traceAt >> 2] = at
}

/** A write to a byte with attributes, all but the call of the bus: into the trace, not into ROM, and to the mirror. */
export function markedStore(m: Uint8Array, v: Int32Array, address: number, value: number) {
  const bits = m[layout.attributes + address] ?? 0
  const isReadOnly = (bits & attribute.readOnly) !== 0
  if (m[layout.tracing] !== 0) {
    const record = v[layout.traceAt >> 2] ?? layout.trace
    const count = m[record + traceRecord.writes] ?? 0
    const at = record + traceRecord.write + 4 * count
    m[at] = address
    m[at + 1] = address >> 8
    m[at + 2] = m[address] ?? 0
    m[at + 3] = isReadOnly ? (m[address] ?? 0) : value
    m[record + traceRecord.writes] = count + 1
  }
  const isKept = (bits & attribute.staysUndefined) !== 0
  m[layout.attributes + address] = bits & ~(attribute.unwritten | (isKept ? 0 : attribute.undefined))
  if (isReadOnly) return
  m[address] = value
  m[layout.dirty + (address >> 8)] = 1
  if ((bits & ownAttribute.mirrored) !== 0) m[layout.mirror + address] = value
}

/** What `attendFrom` has to be for the state in the block. */
export function attendFromOf(m: Uint8Array, v: Int32Array): number {
  const isQuiet =
    v[layout.mode >> 2] === 0 &&
    v[layout.nmi >> 2] === 0 &&
    (v[layout.interruptLine >> 2] === 0 || m[layout.iff1] === 0) &&
    m[layout.halted] === 0
  return isQuiet ? (v[layout.limit >> 2] ?? always) : always
}
