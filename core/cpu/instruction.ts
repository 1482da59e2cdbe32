/** A byte, 0 to 255. */
export type Byte = number
/** A 16-bit address or word, 0 to 65535. */
export type Addr = number
/** A count of clock periods (T-states) since the run began, unless a name says otherwise. */
export type TState = number

/**
 * A byte of an encoding that is not fixed: `n` an immediate byte, `nl` and `nh` the halves of an immediate word (low
 * first), `d` a displacement of IX or IY (two's complement), `e` the displacement of a relative jump.
 */
export type OperandByte = 'n' | 'nl' | 'nh' | 'd' | 'e'

/** One opcode of the Z80, as the assembler, the disassembler, the engine and the reference page all see it. */
export interface Instruction {
  /** The manual's spelling with its placeholders: `ADC A,(IX+d)`, `LD BC,nn`, `JR NZ,e`, `BIT 3,(HL)`, `RST 38H`. */
  readonly text: string
  /** Every byte in order, fixed or a placeholder: `[0xDD, 0x8E, 'd']`. */
  readonly encoding: readonly (Byte | OperandByte)[]
  /** In the manual UM0080 (true), or one of the forms the silicon has beside it (false). */
  readonly isDocumented: boolean
  /** The T-states of each machine cycle when the condition holds or the block goes on: `[4, 4, 3, 5, 3]`. */
  readonly machineCycles: readonly number[]
  /** The same when the condition does not hold or the block ends; absent where there is no such choice. */
  readonly machineCyclesNotTaken?: readonly number[]
  /** An encoding that an assembler never emits because a shorter or plainer one does the same. */
  readonly isAlias?: boolean
}
