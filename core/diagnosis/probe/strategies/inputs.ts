import type { Addr } from '../../../cpu/index.ts'
import {
  nothingGiven,
  registerText,
  registerValue,
  type Call,
  type ExerciseCase,
  type RegisterName,
} from '../../../exercise/index.ts'
import { byteDigits, showByte, showWord } from '../../../image/index.ts'
import { registersAtStart } from '../../../run/index.ts'
import { slotsOf, type Slot } from '../../counterexample/inputs.ts'
import type { Stage } from '../../../trial/index.ts'
import type { ModelFacts } from './model-facts.ts'

/** A register, a byte or a word of memory that a case gives or draws and that a program can look at. */
export interface InputPlace {
  readonly register: RegisterName | null
  readonly at: Addr
  readonly width: 1 | 2
  /** Holds two decimal figures. */
  readonly isDecimal: boolean
  /** Smallest and largest value of all cases that give it. */
  readonly low: number
  readonly high: number
}

/** A place and what is put there. */
export interface PlacedValue {
  readonly place: InputPlace
  readonly value: number
}

/** The places that are inputs of an exercise, from what its cases give and what the model answer reads of it. */
export function inputPlaces(stages: readonly Stage[], facts: ModelFacts): readonly InputPlace[] {
  const found = new Map<string, InputPlace>()
  const cases = new Map(stages.map((stage) => [stage.instance.of, ownOf(stage.instance.of)]))
  const ownSomewhere = new Set([...cases.values()].flatMap(({ keys }) => [...keys]))
  for (const stage of stages) {
    const own = cases.get(stage.instance.of)
    if (own === undefined) continue
    for (const place of placesIn(stage, facts)) {
      const keys = partsOf(place)
      // What a case gives counts for more than what the exercise gives to all of them.
      if (!keys.some((key) => own.keys.has(key)) && keys.some((key) => ownSomewhere.has(key))) continue
      const value = valueOf(stage, place)
      const slots = keys.flatMap((key) => own.slots.get(key) ?? [])
      const isWhole = slots.length === keys.length
      const low = isWhole ? slots.reduce((sum, { from }, i) => sum + from * 256 ** i, 0) : value
      const high = isWhole ? slots.reduce((sum, { to }, i) => sum + to * 256 ** i, 0) : value
      const isDecimal = slots.some((slot) => slot.isDecimal)
      const before = found.get(keyOf(place))
      found.set(keyOf(place), {
        ...place,
        isDecimal: (before?.isDecimal ?? false) || isDecimal,
        low: Math.min(isDecimal ? 0 : low, value, before?.low ?? value),
        high: Math.max(isDecimal ? 0x99 : high, value, before?.high ?? value),
      })
    }
  }
  return [...found.values()].toSorted((a, b) => a.at - b.at)
}

type Place = Pick<InputPlace, 'register' | 'at' | 'width'>

function placesIn(stage: Stage, facts: ModelFacts): readonly Place[] {
  const own = stage.instance.of
  const names = [...Object.keys(own.given?.registers ?? {}), ...own.draws.flatMap(({ register }) => register ?? [])]
  const registers = [...new Set(names as RegisterName[])]
  const memory = new Set(stage.request.given.memory.flatMap(({ at, bytes }) => Array.from(bytes, (_, i) => at + i)))
  return [
    ...registers.map((register): Place => ({ register, at: 0, width: isPair(register) ? 2 : 1 })),
    ...[...memory]
      .filter((at) => facts.inputs.has(at) && !facts.words.has(at - 1))
      .map((at): Place => ({ register: null, at, width: facts.words.has(at) ? 2 : 1 })),
  ]
}

/** Keys of the bytes of a place in memory, the low one first; that of a register. */
function partsOf({ register, at, width }: Place): readonly string[] {
  return register !== null ? [register] : Array.from({ length: width }, (_, i) => String(at + i))
}

/** Registers and addresses that a case itself gives or draws, the exercise's own left out. */
function ownOf(of: ExerciseCase): { readonly keys: ReadonlySet<string>; readonly slots: ReadonlyMap<string, Slot> } {
  const slots = new Map(slotsOf(of).map((slot) => [keyOf(slot), slot]))
  const given = (of.given?.memory ?? []).flatMap(({ at, bytes }) => bytes.map((_, i) => String(at + i)))
  return { keys: new Set([...slots.keys(), ...given, ...Object.keys(of.given?.registers ?? {})]), slots }
}

const isPair = (register: RegisterName): boolean => /^(af|bc|de|hl|ix|iy|sp)_?$/.test(register)

export function keyOf({ register, at }: Pick<InputPlace, 'register' | 'at'>): string {
  return register ?? String(at)
}

/** What stands in a place when a run of the case begins. */
export function valueOf(
  { request, memory }: Stage,
  { register, at, width }: Pick<InputPlace, 'register' | 'at' | 'width'>,
): number {
  if (register !== null) return registerValue(registersAtStart(request), register)
  const byte = (address: Addr): number => memory[address] ?? 0
  return width === 1 ? byte(at) : byte(at) | (byte(at + 1) << 8)
}

/** `BC = 0100h`, `4600h = FFh`. */
export function placedText({ place, value }: PlacedValue): string {
  if (place.register !== null) return registerText(place.register, value)
  return `${showWord(place.at)} = ${place.width === 1 ? showByte(value) : showWord(value)}`
}

/** A case with one run: the values of a stage written down instead of drawn, and some of them other ones. */
export function caseWith(stage: Stage, values: readonly PlacedValue[], id: string, title: string): ExerciseCase {
  const { of } = stage.instance
  const own = of.given ?? nothingGiven
  const registers: Record<string, number> = { ...own.registers }
  for (const { register } of of.draws) {
    if (register !== null) registers[register] = valueOf(stage, { register, at: 0, width: 1 })
  }
  const memory: { at: Addr; bytes: number[] }[] = own.memory.map(({ at, bytes }) => ({ at, bytes: [...bytes] }))
  for (const { register, at, length } of of.draws) {
    if (register === null && at !== null) memory.push({ at, bytes: [...stage.memory.subarray(at, at + length)] })
  }
  for (const { place, value } of values) {
    if (place.register !== null) registers[place.register] = value
    else for (let i = 0; i < place.width; i++) put(memory, place.at + i, (value >> (8 * i)) & 0xff)
  }
  return { ...of, id, title, given: { ...own, registers, memory }, draws: [], times: 1 }
}

/** Into the blocks that have the address, or one of its own; what stands behind wins. */
function put(blocks: { at: Addr; bytes: number[] }[], at: Addr, value: number): void {
  const holding = blocks.filter((block) => at >= block.at && at < block.at + block.bytes.length)
  for (const block of holding) block.bytes[at - block.at] = value
  if (holding.length > 0) return
  const before = blocks.find((block) => block.at + block.bytes.length === at)
  if (before === undefined) blocks.push({ at, bytes: [value] })
  else before.bytes.push(value)
}

/**
 * A case as it would stand in the document: what it gives, and nothing that a reader fills in. What it expects belongs to
 * what it gave before, unless it `isLike` the case that it was made from.
 */
export function plainCase(
  { id, title, given, expect, calls, callsAt, budget }: ExerciseCase,
  isLike = false,
): Readonly<Record<string, unknown>> {
  const { keys, idleKeys, switches, switchMoves, idleSwitches, fill, timer, driver, ...held } = given ?? nothingGiven
  const parts = withoutNulls({
    ...plainHeld(held),
    keys: listOf(
      keys.map(({ key, at, for: long, bounce }) => ({
        ...{ key, at: timeText(at), for: timeText(long) },
        ...(bounce === null ? {} : { bounce: timeText(bounce) }),
      })),
    ),
    idleKeys,
    switches: switches === null ? null : showByte(switches),
    switchMoves: listOf(switchMoves.map(({ at, to }) => ({ at: timeText(at), to: showByte(to) }))),
    ...{ idleSwitches, fill, timer },
    driver: driver === null ? null : { origin: showWord(driver.origin), assembly: driver.assembly },
  })
  return withoutNulls({
    ...{ id, title, given: Object.keys(parts).length === 0 ? null : parts },
    expect: isLike && Object.keys(expect).length > 0 ? expect : null,
    calls: listOf(calls.map(plainCall)),
    callsAt: callsAt === null ? null : showWord(callsAt),
    budget: budget === null ? null : timeText(budget),
  })
}

function plainCall({ draws, expect, times, ...held }: Call): Readonly<Record<string, unknown>> {
  return withoutNulls({
    ...plainHeld(held),
    draws: listOf(draws.map((draw) => withoutNulls({ ...draw, decimal: draw.decimal || null }))),
    expect: Object.keys(expect).length === 0 ? null : expect,
    times: times === 1 ? null : times,
  })
}

function plainHeld({ registers, memory }: Pick<Call, 'registers' | 'memory'>): Readonly<Record<string, unknown>> {
  const words = Object.entries<number>(registers).map(([name, value]) => [
    name,
    isPair(name as RegisterName) ? showWord(value) : showByte(value),
  ])
  return {
    registers: words.length === 0 ? null : Object.fromEntries(words),
    memory: listOf(memory.map(({ at, bytes }) => ({ at: showWord(at), bytes: bytes.map(byteDigits).join(' ') }))),
  }
}

function timeText({ amount, unit }: { readonly amount: number; readonly unit: string }): string {
  return `${amount} ${unit}`
}

function withoutNulls(fields: Readonly<Record<string, unknown>>): Readonly<Record<string, unknown>> {
  return Object.fromEntries(Object.entries(fields).filter(([, value]) => value !== null))
}

function listOf<T>(list: readonly T[]): readonly T[] | null {
  return list.length === 0 ? null : list
}
