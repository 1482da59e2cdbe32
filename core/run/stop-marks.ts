import { attribute } from '../cpu/index.ts'
import type { Addr, Byte, TState } from '../cpu/index.ts'
import type { Machine } from './machine.ts'
import type { RunEnd, RunRequest } from './request.ts'
import { markPatterns } from './mark-patterns.ts'
import { returnAddress, stackAtStart } from './start.ts'

/**
 * Marks where the program must not go or shall stop, and tells which it was. Sees to writes too: to the log where they are
 * watched, and a push to where no RAM is stops the CPU (`requested`).
 */
export class StopMarks {
  /** A push went to where no RAM is. */
  isStackFault = false
  readonly #machine: Machine
  readonly #request: RunRequest
  readonly #breakpoints: ReadonlySet<Addr>
  readonly #back: Addr | null

  constructor(machine: Machine, request: RunRequest) {
    this.#machine = machine
    this.#request = request
    this.#breakpoints = new Set(request.breakpoints)
    this.#back = request.ends === 'return' ? returnAddress(request.profile) : null
    const { attributes } = machine.cpu
    const { closed, closedAndWatched } = markPatterns(request.profile)
    attributes.set(request.isWatchingWrites === true ? closedAndWatched : closed)
    const open = (from: Addr, to: Addr) => {
      for (let at = from; at <= to; at++) attributes[at] = (attributes[at] ?? 0) & ~attribute.stopAt
    }
    for (const { start, bytes } of request.image.segments) open(start, Math.min(0xffff, start + bytes.length - 1))
    for (const { from, to } of request.mayExecute ?? []) open(from, to)
    for (const at of this.#breakpoints) attributes[at] = (attributes[at] ?? 0) | attribute.stopAt
    if (this.#back !== null) attributes[this.#back] = (attributes[this.#back] ?? 0) | attribute.stopAt
    const { cpu, board } = machine
    board.onWrite = (address: Addr, value: Byte, t: TState, pc: Addr) => {
      if (request.isWatchingWrites === true) board.logWrite(address, value, t, pc)
      if (((attributes[address] ?? 0) & attribute.readOnly) === 0) return
      if (!isPush(cpu.memory, pc) && t - board.acknowledgedAt > longestAcceptance) return
      this.isStackFault = true
      cpu.requestStop()
    }
  }

  /** Why the machine stands where it does, before a marked byte. */
  reasonHere(): RunEnd {
    const { cpu } = this.#machine
    const { pc: address, sp } = cpu.registers()
    const start = stackAtStart(this.#request)
    if (address === this.#back) return sp === start ? { kind: 'returned' } : { kind: 'stack-fault', sp }
    if (this.#breakpoints.has(address)) return { kind: 'breakpoint', address }
    if (sp > start && isReturn(cpu.memory, cpu.lastPc)) return { kind: 'stack-fault', sp }
    return { kind: 'left-program', address, from: cpu.lastPc }
  }
}

/** T-states of the acceptance of an interrupt in mode 2, the longest. */
const longestAcceptance = 19

/** PUSH, CALL, RST, EX (SP): what writes at SP or below it. */
function isPush(memory: Uint8Array, at: Addr): boolean {
  const first = memory[at] ?? 0
  const opcode = first === 0xdd || first === 0xfd ? (memory[(at + 1) & 0xffff] ?? 0) : first
  const isCall = opcode === 0xcd || (opcode & 0xc7) === 0xc4
  return isCall || (opcode & 0xcf) === 0xc5 || (opcode & 0xc7) === 0xc7 || opcode === 0xe3
}

/** RET, RET cc; RETN and RETI with their doubles. */
function isReturn(memory: Uint8Array, at: Addr): boolean {
  const first = memory[at] ?? 0
  const isRetn = first === 0xed && ((memory[(at + 1) & 0xffff] ?? 0) & 0xc7) === 0x45
  return first === 0xc9 || (first & 0xc7) === 0xc0 || isRetn
}
