import { attribute } from '../cpu.ts'
import type { RegisterName } from '../effect.ts'
import { layout, registerAt } from '../layout.ts'
import type { Code } from './wasm-bytes.ts'
import { clockOf, tOf, type Registers } from './wasm-clock.ts'

/**
 * Loops that only wait, done in one go. None of this knows what an instruction does: each skips whole rounds that would
 * leave nothing behind but a counter, T-states, steps and refreshes, and leaves at least one round to be done as always.
 * A round is only skipped if it would begin before the time at which the engine must look around.
 */
export function shortcutsOf(text: string): ((code: Code, registers: Registers) => void) | undefined {
  switch (text) {
    case 'DJNZ e':
      return (code, registers) => skipDjnz(code, registers)
    case 'JR NZ,e':
      return (code, registers) => skipDelay(code, registers, { tStates: 26 })
    case 'JP NZ,nn':
      return (code, registers) => skipDelay(code, registers, { tStates: 24 })
    default:
      return undefined
  }
}

/** Block instructions that come straight back to themselves while nothing else is due. */
export const repeats: readonly string[] = ['LDIR', 'LDDR', 'CPIR', 'CPDR']

/** DEC rr, LD A,half, OR other half, as one number, for each pair: what stands before JR NZ or JP NZ in a delay loop. */
const delays: readonly (readonly [pair: RegisterName, codes: readonly number[]])[] = [
  ['BC', [0xb1780b, 0xb0790b]],
  ['DE', [0xb37a1b, 0xb27b1b]],
  ['HL', [0xb57c2b, 0xb47d2b]],
]

/** Opens the blocks `shortcut`, to be left if the jump did not go to `distance` bytes before the instruction itself. */
function open(code: Code, { pc, clock }: Registers, distance: number, room: number) {
  code.block('shortcut')
  code.get(pc).constant(0).access('load16', layout.lastPc).constant(distance).op('sub', 'ne').branchIf('shortcut')
  code.constant(0).access('load', layout.shortcuts).op('eqz').branchIf('shortcut')
  code.constant(0).access('load64', layout.clock.attendFrom).constant64(40n).op('shr64', 'wrap')
  tOf(code, clock).op('sub').tee(room).constant(0).op('le').branchIf('shortcut')
}

/** Puts the smaller of two locals on the stack. */
const smaller = (code: Code, one: number, other: number) =>
  code.get(one).get(other).get(one).get(other).op('lt', 'select')

/** Adds `rounds` times a round to the clock. */
function pass(code: Code, { clock }: Registers, rounds: number, round: bigint) {
  code.get(clock).get(rounds).op('extend').constant64(round).op('mul64', 'add64').set(clock)
}

/** DJNZ to itself: B counts on, one round is 13 T-states. */
function skipDjnz(code: Code, registers: Registers) {
  const [room, rounds] = registers.spare
  open(code, registers, 0, room)
  code.get(room).constant(12).op('add').constant(13).op('div_u').set(room)
  code.constant(0).access('load8', registerAt.B).constant(1).op('sub').set(rounds)
  smaller(code, room, rounds).set(rounds)
  code.constant(0).constant(0).access('load8', registerAt.B).get(rounds).op('sub').access('store8', registerAt.B)
  pass(code, registers, rounds, clockOf(13, 1, 1))
  code.op('end')
}

/**
 * DEC rr; LD A,half; OR other half; JR NZ or JP NZ to the DEC. The round that is left to be done makes A and F anew, and it
 * must be done whole, so it has to fit in as well.
 */
function skipDelay(code: Code, registers: Registers, { tStates }: { readonly tStates: number }) {
  const { pc } = registers
  const [room, rounds] = registers.spare
  open(code, registers, 3, room)
  code
    .get(pc)
    .access('load', layout.attributes)
    .constant(attribute.stopAt * 0x01010101)
    .op('and')
    .branchIf('shortcut')
  code.get(room).constant(tStates).op('div_u').constant(1).op('sub').set(room)
  for (const [pair, codes] of delays) {
    code.block('other')
    code.get(pc).access('load', layout.memory).constant(0xffffff).op('and').set(rounds)
    const [first = 0, second = 0] = codes
    code.get(rounds).constant(first).op('ne').get(rounds).constant(second).op('ne', 'and').branchIf('other')
    code
      .constant(0)
      .access('load16', registerAt[pair as 'BC'])
      .constant(1)
      .op('sub')
      .set(rounds)
    smaller(code, room, rounds).tee(rounds).constant(0).op('le').branchIf('shortcut')
    code
      .constant(0)
      .constant(0)
      .access('load16', registerAt[pair as 'BC'])
      .get(rounds)
      .op('sub')
    code.access('store16', registerAt[pair as 'BC'])
    pass(code, registers, rounds, clockOf(tStates, 4, 4))
    code.branch('shortcut').op('end')
  }
  code.op('end')
}

/** Leaves the loop `again` unless the block instruction came back to itself, still stands there, and nothing else is due. */
export function repeat(code: Code, { pc, clock }: Registers, opcode: number) {
  code.get(pc).constant(0).access('load16', layout.lastPc).op('ne').branchIf('next')
  code.constant(0).access('load', layout.shortcuts).op('eqz').branchIf('next')
  code.get(clock).constant(0).access('load64', layout.clock.attendFrom).op('ge64').branchIf('next')
  code
    .get(pc)
    .access('load16', layout.memory)
    .constant(0xed | (opcode << 8))
    .op('ne')
    .branchIf('next')
  code.get(pc).access('load8', layout.attributes).constant(attribute.stopAt).op('and', 'eqz').branchIf('again')
}
