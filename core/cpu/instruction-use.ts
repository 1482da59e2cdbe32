import { definitionOf } from './decode.ts'
import { readEffect, type Expression, type RegisterName, type Statement } from './effect.ts'
import type { Byte } from './instruction.ts'

/** Registers by halves; F is told by its bits. A pair of the second set and SP are one each. */
export type UsedRegister =
  | ('A' | 'B' | 'C' | 'D' | 'E' | 'H' | 'L' | 'IXH' | 'IXL' | 'IYH' | 'IYL' | 'I' | 'R' | 'SP')
  | ("AF'" | "BC'" | "DE'" | "HL'")

/** What one instruction takes and what it leaves, whether or not its condition holds. */
export interface InstructionUse {
  readonly reads: ReadonlySet<UsedRegister>
  readonly writes: ReadonlySet<UsedRegister>
  /** Bits of F that decide something, and bits that it sets anew. A bit merely kept is in neither. */
  readonly flagsRead: Byte
  readonly flagsWritten: Byte
  readonly readsMemory: boolean
  readonly writesMemory: boolean
  readonly readsPort: boolean
  readonly writesPort: boolean
}

const halves: Readonly<Record<string, readonly UsedRegister[]>> = {
  AF: ['A'],
  BC: ['B', 'C'],
  DE: ['D', 'E'],
  HL: ['H', 'L'],
  IX: ['IXH', 'IXL'],
  IY: ['IYH', 'IYL'],
}

/** Latches that no program can name, and PC. */
const hidden: readonly string[] = ['F', 'Q', 'WZ', 'PC', 'IFF1', 'IFF2', 'IM']
const documentedFlags = 0xd7
const undocumentedFlags = 0x28
const allFlags = 0xff

const known = new Map<string, InstructionUse>()

/**
 * What the instruction whose bytes are `byteAt(0)`, `byteAt(1)` … reads and writes, taken from its effect in the table.
 * What cannot matter is left out: `XOR A` does not read A, and the stack's own use of SP counts.
 */
export function instructionUse(byteAt: (offset: number) => Byte): InstructionUse {
  const { text, effect } = definitionOf(byteAt)
  const before = known.get(text)
  if (before !== undefined) return before
  const use = useOf(text, readEffect(effect))
  known.set(text, use)
  return use
}

function useOf(text: string, statements: readonly Statement[]): InstructionUse {
  const collector = new Collector()
  collector.body(statements)
  // The result of these does not depend on A, though the rule reads it.
  if (/^(XOR|SUB|CP) A$|^SBC A,A$/.test(text)) collector.reads.delete('A')
  // A block move's A shows in bits 5 and 3 of F alone.
  if (/^LD[ID]R?$/.test(text)) collector.reads.delete('A')
  return collector
}

class Collector implements InstructionUse {
  readonly reads = new Set<UsedRegister>()
  readonly writes = new Set<UsedRegister>()
  flagsRead = 0
  flagsWritten = 0
  readsMemory = false
  writesMemory = false
  readsPort = false
  writesPort = false

  body(statements: readonly Statement[]): void {
    for (const statement of statements) this.#statement(statement)
  }

  #statement(statement: Statement): void {
    switch (statement.kind) {
      case 'let':
        this.#expression(statement.value)
        break
      case 'set':
        this.#set(statement.register, statement.value)
        break
      case 'read':
      case 'input':
        this.readsMemory ||= statement.kind === 'read'
        this.readsPort ||= statement.kind === 'input'
        this.#expression(statement.address)
        break
      case 'write':
      case 'output':
        this.writesMemory ||= statement.kind === 'write'
        this.writesPort ||= statement.kind === 'output'
        this.#expression(statement.address)
        this.#expression(statement.value)
        break
      case 'if':
      case 'when':
        this.#expression(statement.condition)
        this.body(statement.body)
        break
      case 'idle':
      case 'halt':
      case 'holdInterrupts':
      case 'interruptFlagRead':
        break
    }
  }

  #set(register: RegisterName, value: Expression): void {
    if (register === 'F') {
      const kept = keptFlags(value)
      this.flagsWritten |= documentedFlags & ~kept
      this.#expression(value, kept)
      return
    }
    if (register === 'WZ' || register === 'PC') {
      // WZ only shows in bits 5 and 3 of F; a PC that is popped or given has been counted where it was read.
      if (register === 'PC') this.#expression(value)
      return
    }
    if (register === 'AF') this.flagsWritten = allFlags
    for (const half of halvesOf(register)) this.writes.add(half)
    this.#expression(value)
  }

  /** `kept`: bits of F that only stay as they are. */
  #expression(expression: Expression, kept = 0): void {
    switch (expression.kind) {
      case 'register':
        if (expression.name === 'F') this.flagsRead |= documentedFlags & ~kept
        if (expression.name === 'AF') this.flagsRead = allFlags
        for (const half of halvesOf(expression.name)) this.reads.add(half)
        break
      case 'binary': {
        const mask = flagMask(expression)
        if (mask !== null) {
          this.flagsRead |= mask & documentedFlags & ~kept
          break
        }
        // Bits 5 and 3 of F, copies of something, are told by nothing that a program does.
        const { operator, right } = expression
        if (operator === '&' && right.kind === 'number' && (right.value & ~undocumentedFlags) === 0) break
        this.#expression(expression.left, kept)
        this.#expression(expression.right, kept)
        break
      }
      case 'not':
        this.#expression(expression.of, kept)
        break
      case 'choose':
        this.#expression(expression.condition)
        this.#expression(expression.then, kept)
        this.#expression(expression.otherwise, kept)
        break
      case 'flags':
        this.#expression(expression.index)
        break
      case 'number':
      case 'local':
      case 'operand':
        break
    }
  }
}

function halvesOf(register: RegisterName): readonly UsedRegister[] {
  if (hidden.includes(register)) return []
  return halves[register] ?? [register as UsedRegister]
}

/** The bits of `F & bits`; null for anything else. */
function flagMask(expression: Expression): Byte | null {
  if (expression.kind !== 'binary' || expression.operator !== '&') return null
  const { left, right } = expression
  return left.kind === 'register' && left.name === 'F' && right.kind === 'number' ? right.value : null
}

/** Bits of F that a new value of F takes over as they were: `F & bits` among its terms. */
function keptFlags(value: Expression): Byte {
  const mask = flagMask(value)
  if (mask !== null) return mask
  if (value.kind !== 'binary' || value.operator !== '|') return 0
  return keptFlags(value.left) | keptFlags(value.right)
}
