import type { BoardProfile, Routine } from '../../board/index.ts'
import { decode, instructionUse, type Addr, type Byte, type InstructionUse, type Registers } from '../../cpu/index.ts'
import { disassembleAt } from '../../disassembler/index.ts'
import type { Recording, TraceStep } from '../../run/index.ts'

/** One instruction of the student's program as it was executed, or a stay in the firmware as a whole. */
export interface Fact {
  readonly kind: 'own' | 'firmware' | 'interrupt'
  readonly step: number
  readonly t: number
  readonly tStates: number
  readonly pc: Addr
  readonly bytes: readonly Byte[]
  /** `LD A,(HL)` with operands filled in; '' for what is no instruction of the program. */
  readonly text: string
  readonly use: InstructionUse
  readonly before: Registers
  readonly after: Registers
  readonly writes: readonly { readonly address: Addr; readonly before: Byte; readonly value: Byte }[]
  /** Addresses of memory that it reads, opcode bytes left out. */
  readonly reads: readonly Addr[]
  /** The routine that was entered, where the firmware has a name for it. */
  readonly routine: Routine | null
}

const mostWalked = 600_000
const mostFacts = 6_000
const mostStretches = 500
/** Steps at the end of the run that are looked at as well. */
const lastSteps = 400

const nothing: InstructionUse = {
  ...{ reads: new Set(), writes: new Set(), flagsRead: 0, flagsWritten: 0 },
  ...{ readsMemory: false, writesMemory: false, readsPort: false, writesPort: false },
}

/** What the program itself did, from the start for some thousand instructions, and the last few hundred. */
export function factsOf(recording: Recording, profile: BoardProfile): readonly Fact[] {
  const { steps } = recording.result
  const rom = profile.memory.filter(({ kind }) => kind === 'rom')
  const isRom = (pc: Addr): boolean => rom.some(({ from, to }) => pc >= from && pc <= to)
  const { memory } = recording.result
  const isDelay = (pc: Addr): boolean => memory[pc] === 0x10 && memory[(pc + 1) & 0xffff] === 0xfe
  const first = stretches(recording, 0, Math.min(steps, mostWalked), isRom, isDelay)
  const reached = first.at(-1)?.to ?? 0
  const from = Math.max(reached, steps - lastSteps)
  const last = from < steps ? stretches(recording, from, steps, isRom, isDelay) : []
  const facts: Fact[] = []
  const known = new Map<string, Reading>()
  let before: Fact | null = null
  for (const { from: start, to } of [...first, ...last]) {
    const own = recording.steps(start, to).map((step) => factOf(step, known))
    const [entered] = own
    if (before !== null && entered !== undefined && before.step + 1 < start && isRom(before.after.pc)) {
      facts.push(stayInFirmware(before, entered, profile))
    }
    facts.push(...own)
    before = own.at(-1) ?? before
  }
  if (before !== null && before.step + 1 < steps && isRom(before.after.pc)) {
    const end = recording.at(steps)
    facts.push(stayInFirmware(before, { step: steps, t: end.t, before: end.registers }, profile))
  }
  return facts
}

interface Stretch {
  readonly from: number
  readonly to: number
}

/** Rounds of a DJNZ to itself that are kept each time; the others say nothing new. */
const keptRounds = 3

function stretches(
  recording: Recording,
  from: number,
  to: number,
  isRom: (pc: Addr) => boolean,
  isDelay: (pc: Addr) => boolean,
): Stretch[] {
  let before = -1
  let rounds = 0
  const found: { from: number; to: number }[] = []
  let count = 0
  let isFull = false
  recording.walk(from, to, (step, _t, pc) => {
    rounds = pc === before ? rounds + 1 : 0
    before = pc
    if (isFull || isRom(pc) || (rounds >= keptRounds && isDelay(pc))) return
    count += 1
    const last = found.at(-1)
    if (last !== undefined && last.to === step) last.to = step + 1
    else if (found.length < mostStretches) found.push({ from: step, to: step + 1 })
    else isFull = true
    if (count >= mostFacts) isFull = true
  })
  return found
}

/** What the bytes of an instruction say, wherever in the run it is executed. */
interface Reading {
  readonly text: string
  readonly use: InstructionUse
  /** The addresses that it reads, by the registers that it finds. */
  readonly reads: (before: Registers) => readonly Addr[]
}

function factOf(step: TraceStep, known: Map<string, Reading>): Fact {
  const { kind, pc, bytes, before, after, memoryWrites, t, tStates } = step
  const common = { step: step.step, t, tStates, pc, bytes, before, after, writes: memoryWrites, routine: null }
  if (kind !== 'instruction' || bytes.length === 0) {
    return { ...common, kind: kind === 'interrupt' ? 'interrupt' : 'own', text: '', use: nothing, reads: [] }
  }
  const key = `${pc}:${bytes.join()}`
  let reading = known.get(key)
  if (reading === undefined) {
    const byteAt = (offset: number): Byte => bytes[offset] ?? 0
    const read = (address: Addr): Byte => byteAt((address - pc) & 0xffff)
    const { text } = disassembleAt(read, pc)
    reading = { text, use: instructionUse(byteAt), reads: addressesRead(read, pc) }
    known.set(key, reading)
  }
  const { text, use, reads } = reading
  return { ...common, kind: 'own', text, use, reads: reads(before) }
}

function stayInFirmware(
  last: Fact,
  next: { readonly step: number; readonly t: number; readonly before: Registers },
  profile: BoardProfile,
): Fact {
  const { pc } = last.after
  const routine = profile.firmware.routines.find(({ address }) => address === pc) ?? null
  return {
    kind: 'firmware',
    step: last.step + 1,
    t: last.t + last.tStates,
    tStates: next.t - last.t - last.tStates,
    pc,
    ...{ bytes: [], text: '', use: nothing, writes: [], reads: [] },
    before: last.after,
    after: next.before,
    routine,
  }
}

/** Where an instruction reads data, by its form. */
function addressesRead(read: (address: Addr) => Byte, pc: Addr): (before: Registers) => readonly Addr[] {
  const { instruction, bytes } = decode(read, pc)
  const { text, encoding } = instruction
  const word = (at: Addr): Addr[] => [at & 0xffff, (at + 1) & 0xffff]
  if (/^(POP|RET|EX \(SP\))/.test(text)) return ({ sp }) => word(sp)
  if (/^(LD[ID]|CP[ID]|OT[ID]|OUT[ID]|RLD|RRD)/.test(text)) return ({ hl }) => [hl]
  const source = /^LD /.test(text) ? text.slice(text.indexOf(',') + 1) : text
  if (/^LD \(/.test(text)) return () => []
  if (source.includes('(HL)')) return /^JP/.test(text) ? () => [] : ({ hl }) => [hl]
  if (source.includes('(BC)')) return ({ bc }) => [bc]
  if (source.includes('(DE)')) return ({ de }) => [de]
  const d = (((bytes[encoding.indexOf('d')] ?? 0) ^ 0x80) - 0x80) | 0
  if (source.includes('(IX+d)')) return ({ ix }) => [(ix + d) & 0xffff]
  if (source.includes('(IY+d)')) return ({ iy }) => [(iy + d) & 0xffff]
  if (!source.includes('(nn)')) return () => []
  const low = encoding.indexOf('nl')
  const at = (bytes[low] ?? 0) | ((bytes[low + 1] ?? 0) << 8)
  const places = /^LD A,/.test(text) ? [at] : word(at)
  return () => places
}
