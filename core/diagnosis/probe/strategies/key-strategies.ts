import { withoutCount, type BoardProfile } from '../../../board/index.ts'
import { readProgram } from '../../../assembler/index.ts'
import type { Addr, Byte } from '../../../cpu/index.ts'
import type { Image } from '../../../image/index.ts'
import { run } from '../../../run/index.ts'
import type { SourceInstruction } from '../../../edits/index.ts'
import { portOf } from './answers.ts'
import type { Ground } from './ground.ts'
import { keysOf, pressedKeys } from './key-inputs.ts'
import { routineOf } from './model-facts.ts'
import { textOf, type Insertion } from './model-text.ts'
import type { Strategy } from './strategy.ts'

/** Keys that a case presses and with which one that none presses is mixed up. */
const mostMixedUp = 2

/** Programs that know fewer keys, or more of them, than they should, or lose them after the first. */
export function keyStrategies(ground: Ground): readonly Strategy[] {
  const { profile, facts, stages } = ground
  const pressed = pressedKeys(stages)
  if (pressed.length === 0) return []
  const { text } = facts
  const found: Strategy[] = []
  const add = (kind: Strategy['kind'], words: string, detail: string | null, image: Image | null): void => {
    if (image !== null) found.push({ kind, words, detail, image, isWhole: false, subjects: ['keys'] })
  }
  const scans = scansIn(ground)
  if (scans.length > 0) {
    const columns = columnsOf(pressed, profile)
    const bits = columns.reduce((mask, column) => mask | selecting(column, profile), 0)
    const mask = profile.display.isDigitActiveHigh ? `AND ${bits}` : `OR ${~bits & 0xff}`
    const words = `A program that scans only the ${columns.length} of ${profile.keypad.keys.length} keypad columns in which your cases press keys`
    const narrowed = scans.map((at) => ({ at, instead: ['PUSH AF', mask, `OUT ${at.operands.join(',')}`, 'POP AF'] }))
    if (columns.length < profile.keypad.keys.length) add('columns', words, null, text.with(narrowed))
    add('columns', ...withFewerRows(ground, pressed))
  }
  const calls = text.instructions.filter(({ mnemonic, operands }) => mnemonic === 'CALL' && operands.length === 1)
  const asking = calls.filter(({ operands: [called = ''] }) => {
    const routine = routineOf(called, profile)
    return routine !== undefined && keyCodes(routine, profile) !== null
  })
  const words = 'A program that takes the first key and then works on as if it were pressed each time'
  add('keys', words, null, takingTheFirst(ground, asking))
  add('keys', 'A program that takes no notice of the first key', null, losingTheFirst(ground, asking))
  for (const at of asking) {
    const routine = routineOf(at.operands[0] ?? '', profile)
    const codes = routine === undefined ? null : keyCodes(routine, profile)
    if (codes === null) continue
    add(
      'keys',
      'A program that knows only the keys that your cases press',
      null,
      knowingOnly(ground, at, pressed, codes),
    )
    for (const key of keysOf(profile).filter((each) => !pressed.includes(each))) {
      for (const other of pressed.slice(0, mostMixedUp)) {
        const [code, instead] = [codes.get(key), codes.get(other)]
        if (code === undefined || instead === undefined) continue
        const on = text.label()
        const after = [`CP ${code}`, `JP NZ,${on}`, `LD A,${instead}`, `${on}:`]
        const words = 'A program in which a key that no case presses does what another one does'
        add('keys', words, `${key} like ${other}`, text.with([{ at, after }]))
      }
    }
  }
  return found
}

/** A scan that looks only at the rows in which cases press keys. */
function withFewerRows(
  { facts: { text }, profile }: Ground,
  pressed: readonly string[],
): readonly [words: string, detail: null, image: Image | null] {
  const { keys, rowPort, isKeyActiveHigh } = profile.keypad
  const all = Math.max(...keys.map((column) => column.length))
  const rows = Array.from({ length: all }, (_, i) => i).filter((row) =>
    keys.some((column) => pressed.includes(column[row] ?? '')),
  )
  const bits = rows.reduce((mask, row) => mask | (1 << row), 0)
  const mask = isKeyActiveHigh ? `AND ${bits}` : `OR ${~bits & 0xff}`
  const reads = text.instructions.filter(
    ({ mnemonic, operands }) =>
      mnemonic === 'IN' && operands[0]?.toUpperCase() === 'A' && portOf(operands[1]) === rowPort,
  )
  const words = `A program that looks only at the ${rows.length} of ${all} keypad rows in which your cases press keys`
  const isFewer = rows.length < all && reads.length > 0
  return [words, null, isFewer ? text.with(reads.map((at) => ({ at, after: [mask] }))) : null]
}

/** One key more is waited for before the first. */
function losingTheFirst({ facts: { text } }: Ground, [at]: readonly SourceInstruction[]): Image | null {
  if (at === undefined) return null
  const [flag, on] = [text.label(), text.label()]
  const once = ['PUSH AF', `LD A,(${flag})`, 'OR A', 'LD A,1', `LD (${flag}),A`, `JP NZ,${on}`, 'POP AF']
  return text.with([{ at, before: [...once, textOf(at), 'PUSH AF', `${on}: POP AF`] }], [`${flag}: DB 0`])
}

/** What the first call gives is kept in IX. */
function takingTheFirst({ facts: { text, program } }: Ground, asking: readonly SourceInstruction[]): Image | null {
  const first = text.at(program.entry)
  const isFree = program.listing.every(({ source }) => !/\bIX/i.test(source))
  if (first === undefined || !isFree || asking.length === 0) return null
  const ahead = ['LD IX,0']
  const kept = asking.map((at): Insertion => {
    const on = text.label()
    const after = ['INC IXH', 'DEC IXH', `JP NZ,${on}`, 'INC IXH', 'LD IXL,A', `${on}: LD A,IXL`]
    return at === first ? { at, ahead, after } : { at, after }
  })
  return text.with(asking.includes(first) ? kept : [{ at: first, ahead }, ...kept])
}

/** Waits on where any other key comes. */
function knowingOnly(
  { facts: { text } }: Ground,
  at: SourceInstruction,
  pressed: readonly string[],
  codes: ReadonlyMap<string, Byte>,
): Image | null {
  const [again, on] = [text.label(), text.label()]
  const known = pressed.flatMap((key) => (codes.has(key) ? [`CP ${codes.get(key) ?? 0}`, `JP Z,${on}`] : []))
  return text.with([{ at, before: [`${again}:`], after: [...known, `JP ${again}`, `${on}:`] }])
}

/** Where the program selects columns of the keypad before it reads the rows. */
export function scansIn({ facts: { text }, profile }: Ground): readonly SourceInstruction[] {
  return text.instructions.filter((each, i) => {
    if (each.mnemonic !== 'OUT' || portOf(each.operands[0]) !== profile.display.selectPort) return false
    const next = text.instructions.slice(i + 1, i + 6).find(({ mnemonic }) => mnemonic === 'IN' || mnemonic === 'OUT')
    return next?.mnemonic === 'IN' && portOf(next.operands[1]) === profile.keypad.rowPort
  })
}

function columnsOf(keys: readonly string[], { keypad }: BoardProfile): readonly number[] {
  return keypad.keys.flatMap((rows, column) => (rows.some((key) => keys.includes(key)) ? [column] : []))
}

function selecting(column: number, { display }: BoardProfile): number {
  return 1 << (display.digitBits[column] ?? 0)
}

const known = new WeakMap<BoardProfile, Map<Addr, ReadonlyMap<string, Byte> | null>>()

/** What a routine of the firmware gives in A for each key; null where it does not wait for one. */
export function keyCodes(routine: Addr, profile: BoardProfile): ReadonlyMap<string, Byte> | null {
  const shelf = known.get(profile) ?? new Map<Addr, ReadonlyMap<string, Byte> | null>()
  known.set(profile, shelf)
  const before = shelf.get(routine)
  if (before !== undefined) return before
  const codes = withoutCount(() => askedCodes(routine, profile))
  shelf.set(routine, codes)
  return codes
}

function askedCodes(routine: Addr, profile: BoardProfile): ReadonlyMap<string, Byte> | null {
  const origin = profile.layout.program
  const { image } = readProgram({ format: 'assembly', text: ` CALL ${routine}\n HALT\n` }, { origin })
  const ms = profile.clockHz / 1e3
  const ended = (keys: readonly string[]) => {
    const given = { registers: { hl: 0, bc: 0, de: 0 }, memory: [], switches: 0, fill: { byte: 0 }, isTimerOn: false }
    const presses = keys.map((key) => ({ key, from: 60 * ms, to: 160 * ms }))
    return run({ profile, image, entry: origin, ends: 'halt', given: { ...given, keys: presses }, budget: 400 * ms })
  }
  if (ended([]).end.kind === 'halted') return null
  const codes = new Map<string, Byte>()
  for (const key of keysOf(profile)) {
    const { end, registers } = ended([key])
    if (end.kind !== 'halted') return null
    codes.set(key, registers.af >> 8)
  }
  return new Set(codes.values()).size === codes.size ? codes : null
}
