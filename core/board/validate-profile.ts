import type { Addr } from '../cpu/index.ts'
import type { BoardProfile, MemoryRegion } from './profile.ts'
import { boardProfileSchema } from './profile-schema.ts'
import { problem, problemsBySchema, type DocumentProblem } from './schema.ts'

/** A profile that fits, or everything that is wrong with it. */
export type ProfileReading = { readonly profile: BoardProfile } | { readonly problems: readonly DocumentProblem[] }

/** Reads a board profile out of parsed JSON. What the schema cannot say is checked once the schema is met. */
export function validateProfile(json: unknown): ProfileReading {
  const bySchema = problemsBySchema(json, boardProfileSchema)
  if (bySchema.length > 0) return { problems: bySchema }
  const profile = json as BoardProfile
  const problems = [memoryProblems, displayProblems, rowProblems, keyProblems, firmwareProblems].flatMap((rule) =>
    rule(profile),
  )
  return problems.length > 0 ? { problems } : { profile }
}

function memoryProblems({ memory, layout }: BoardProfile): DocumentProblem[] {
  const problems = memory.flatMap(({ from, to }, k) => {
    const path = ['memory', k]
    const before = memory[k - 1]
    if (to < from) return [problem([...path, 'to'], 'out-of-range', to, `${from} or higher, the end of the region`)]
    if (before !== undefined && from <= before.to)
      return [problem([...path, 'from'], 'overlap', from, `${before.to + 1} or higher, behind the region before it`)]
    return []
  })
  const mustBeRam = (name: keyof BoardProfile['layout'], at: Addr | null, bytes: number) =>
    at === null || [at, at + bytes - 1].every((address) => isIn(memory, 'ram', address))
      ? []
      : [problem(['layout', name], 'outside-ram', at, 'an address in RAM')]
  return [
    ...problems,
    ...mustBeRam('program', layout.program, 1),
    ...mustBeRam('programEnd', layout.programEnd, 1),
    ...(layout.programEnd >= layout.program
      ? []
      : [problem(['layout', 'programEnd'], 'out-of-order', layout.programEnd, `${layout.program} or higher`)]),
    ...mustBeRam('data', layout.data, 1),
    ...mustBeRam('digitBuffer', layout.digitBuffer, 1),
    ...mustBeRam('interruptHook', layout.interruptHook, 2),
    ...(isIn(memory, 'ram', (layout.stackTop - 1) & 0xffff)
      ? []
      : [problem(['layout', 'stackTop'], 'outside-ram', layout.stackTop, 'an address right behind a byte of RAM')]),
  ]
}

function isIn(memory: readonly MemoryRegion[], kind: MemoryRegion['kind'], address: Addr): boolean {
  return memory.some((region) => region.kind === kind && region.from <= address && address <= region.to)
}

function displayProblems({ display }: BoardProfile): DocumentProblem[] {
  const { digits, digitBits, segmentBits, segmentPort, selectPort } = display
  return [
    ...(digitBits.length === digits
      ? []
      : [problem(['display', 'digitBits'], 'wrong-count', digitBits, `a bit for each of the ${digits} digits`)]),
    ...twice(digitBits, ['display', 'digitBits']),
    ...twice(segmentBits, ['display', 'segmentBits']),
    ...(segmentPort === selectPort && segmentBits.some((bit) => digitBits.includes(bit))
      ? [problem(['display', 'selectPort'], 'overlap', selectPort, 'another port, or bits that no segment has')]
      : []),
  ]
}

function rowProblems({ lamps, switches }: BoardProfile): DocumentProblem[] {
  return [...twice(lamps?.bits ?? [], ['lamps', 'bits']), ...twice(switches?.bits ?? [], ['switches', 'bits'])]
}

function keyProblems({ keypad, display }: BoardProfile): DocumentProblem[] {
  const path = ['keypad', 'keys']
  if (keypad.keys.length > display.digits)
    return [problem(path, 'wrong-count', keypad.keys, `at most ${display.digits} columns, one for each digit`)]
  const seen = new Set<string>()
  return keypad.keys.flatMap((column, c) =>
    column.flatMap((key, row) => {
      if (key === '' || !seen.has(key)) {
        seen.add(key)
        return []
      }
      return [problem([...path, c, row], 'twice', key, 'a name that no other key has')]
    }),
  )
}

function firmwareProblems({ firmware, memory }: BoardProfile): DocumentProblem[] {
  const rom = memory.find(({ kind }) => kind === 'rom')
  const room = rom === undefined ? 0 : rom.to - rom.from + 1
  const bytes = firmware.hex.length / 2
  const readyOutside = firmware.ready.flatMap(({ at, hex }, k) =>
    Array.from({ length: hex.length / 2 }, (_, i) => at + i).every((address) => isIn(memory, 'ram', address))
      ? []
      : [problem(['firmware', 'ready', k, 'at'], 'outside-ram', at, 'bytes that all lie in RAM')],
  )
  const tooLong = bytes > room
  return [
    ...(tooLong
      ? [problem(['firmware', 'hex'], 'too-long', `${bytes} bytes`, `${room} bytes, the size of the first ROM`)]
      : []),
    ...readyOutside,
  ]
}

function twice(bits: readonly number[], path: readonly string[]): DocumentProblem[] {
  return bits.flatMap((bit, k) =>
    bits.indexOf(bit) === k ? [] : [problem([...path, k], 'twice', bit, 'a bit that is not used before')],
  )
}
