import type { Addr, Byte } from '../../cpu/index.ts'
import { disassembleAt } from '../../disassembler/index.ts'
import { byteAt, type Image } from '../../image/index.ts'
import type { Program } from '../../assembler/index.ts'
import type { ByteEdit, Candidate, LikelyEdit, SourceEditKind } from '../../edits/index.ts'

/** What was done: a byte changed, put in or taken out, two neighbours exchanged; or one instruction changed. */
export type RepairKind = ByteEdit['kind'] | SourceEditKind

/** An edit of a hand-in that makes it pass everything. For staff: it gives the answer away. */
export interface Repair {
  readonly kind: RepairKind
  /** Where the hand-in is wrong: address of the byte, of the gap, or of the instruction. */
  readonly at: Addr
  /** Line of the student's own text, where the edit was made there. */
  readonly line: number | null
  /** The bytes that stand there; none where one is missing. For an edit of an instruction: all its bytes. */
  readonly found: readonly Byte[]
  /** The bytes that would stand there; none where something is left out. */
  readonly wouldBe: readonly Byte[]
  /** The instruction as it is read now and as it would be; null where there is none or the bytes are data. */
  readonly instruction: { readonly found: string | null; readonly wouldBe: string | null }
  /** How likely its sort is among edits of a text, 0 the likeliest; null for an edit of a byte. */
  readonly tier: number | null
  /** The program after the edit. */
  readonly image: Image
}

/** What a candidate does to a program. */
export function repairOf(program: Program, { image, byte, source }: Candidate): Repair | null {
  if (source !== null) return repairBySource(source, program.image)
  const starts = program.listing.flatMap(({ kind, address }) =>
    kind === 'instruction' && address !== null ? [address] : [],
  )
  return byte === null ? null : repairByByte(byte, program.image, image, starts)
}

/** `starts` holds the addresses at which the hand-in's instructions begin. */
export function repairByByte(edit: ByteEdit, before: Image, image: Image, starts: readonly Addr[]): Repair {
  const start = starts.findLast((each) => each <= edit.at) ?? null
  const isInside = start !== null && edit.at < start + instructionAt(before, start).length
  const texts = { found: isInside ? textAt(before, start) : null, wouldBe: isInside ? textAt(image, start) : null }
  const common = { kind: edit.kind, at: edit.at, line: null, instruction: texts, tier: null, image } as const
  switch (edit.kind) {
    case 'replace':
      return { ...common, found: [edit.found], wouldBe: [edit.wouldBe] }
    case 'insert':
      return { ...common, found: [], wouldBe: [edit.wouldBe] }
    case 'remove':
      return { ...common, found: [edit.found], wouldBe: [] }
    case 'swap':
      return { ...common, found: edit.found, wouldBe: edit.found.toReversed() }
  }
}

function repairBySource({ kind, at, line, found, wouldBe, tier, image }: LikelyEdit, before: Image): Repair {
  return {
    kind,
    at,
    line,
    found: found === null ? [] : instructionAt(before, at),
    wouldBe: wouldBe === null ? [] : instructionAt(image, at),
    instruction: { found, wouldBe },
    tier,
    image,
  }
}

function read(image: Image, address: Addr): Byte {
  return byteAt(image, address) ?? 0
}

function instructionAt(image: Image, at: Addr): readonly Byte[] {
  return disassembleAt((address) => read(image, address), at).bytes
}

function textAt(image: Image, at: Addr): string {
  return disassembleAt((address) => read(image, address), at).text
}
