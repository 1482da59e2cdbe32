import { eventCode } from '../../../board/index.ts'
import type { Addr, Byte } from '../../../cpu/index.ts'
import { registerValue, type RegisterName } from '../../../exercise/index.ts'
import type { Stage } from '../../../trial/index.ts'
import { flagBits, registersThatMatter, stackBytes } from '../behaviour.ts'
import type { Ground } from './ground.ts'

/** What a run of the model answer leaves, as far as somebody looks. */
export interface CaseResult {
  readonly memory: readonly { readonly at: Addr; readonly bytes: readonly Byte[] }[]
  readonly registers: readonly (readonly [RegisterName, number])[]
  /** Flags wanted, by the bits of F, and what they are. */
  readonly flags: number
  readonly f: Byte
  readonly ports: readonly { readonly port: number; readonly value: Byte }[]
}

/** More port writes than these are a display or a tone, which no list of results makes. */
const mostPortWrites = 16

/** What a run leaves; null where it shows or sounds more than a list can make. */
export function resultOf({ exercise, profile, facts }: Ground, stage: Stage): CaseResult | null {
  const { model, request } = stage
  if (model === null) return null
  const sp = request.given.registers.sp ?? profile.layout.stackTop
  const isSpared = (at: Addr): boolean =>
    (at >= sp - stackBytes && at < sp) ||
    facts.program.image.segments.some(({ start, bytes }) => at >= start && at < start + bytes.length)
  const memory: { at: Addr; bytes: Byte[] }[] = []
  for (const { kind, from, to } of profile.memory) {
    for (let at = from; kind === 'ram' && at <= to; at++) {
      const value = model.memory[at] ?? 0
      if (value === stage.memory[at] || isSpared(at)) continue
      const last = memory.at(-1)
      if (last !== undefined && last.at + last.bytes.length === at) last.bytes.push(value)
      else memory.push({ at, bytes: [value] })
    }
  }
  const ports: { port: number; value: Byte }[] = []
  for (let i = 0; i < model.events.length; i++) {
    if (model.events.codeAt(i) !== eventCode.portWrite) continue
    if (ports.length === mostPortWrites) return null
    ports.push({ port: model.events.whereAt(i), value: model.events.valueAt(i) })
  }
  const { names, flags } = registersThatMatter(exercise, stage.instance.of.id)
  const kept = exercise.checks.flatMap((check) =>
    check.kind === 'registers-kept' ? (check['registers'] as readonly string[]) : [],
  )
  const registers = names
    .filter((name) => name !== 'sp' && !kept.includes(name))
    .map((name) => [name, registerValue(model.registers, name)] as const)
  return { memory, registers, flags, f: model.registers.af & 0xff, ports }
}

/** Longer stretches are copied from behind the program. */
const mostByStore = 12

/** Instructions that leave a result, without the one that ends the program; `label` makes names for data behind it. */
export function linesFor(
  result: CaseResult,
  label: () => string,
): { readonly lines: readonly string[]; readonly data: readonly string[] } {
  const data: string[] = []
  const stores = result.memory.flatMap(({ at, bytes }) => {
    if (bytes.length <= mostByStore) return bytes.flatMap((byte, i) => [` LD A,${byte}`, ` LD (${at + i}),A`])
    const table = label()
    data.push(`${table}: DB ${bytes.join(',')}`)
    return [` LD HL,${table}`, ` LD DE,${at}`, ` LD BC,${bytes.length}`, ' LDIR']
  })
  const outputs = result.ports.flatMap(({ port, value }) => [` LD A,${value}`, ` OUT (${port & 0xff}),A`])
  const values = result.registers.map(([name, value]) => ` LD ${name.toUpperCase()},${value}`)
  return { lines: [...stores, ...outputs, ...flagLines(result), ...values], data }
}

/** Z and C as wanted; the others are as these leave them. */
function flagLines({ flags, f }: CaseResult): readonly string[] {
  if (flags === 0) return []
  const isZero = (f & (flagBits['z'] ?? 0)) !== 0
  const isCarry = (f & (flagBits['c'] ?? 0)) !== 0
  return [...(isZero ? [' XOR A'] : [' LD A,1', ' OR A']), ...(isCarry ? [' SCF'] : [])]
}
