import type { Addr } from '../../../cpu/index.ts'
import { segmentsOf } from '../../../board/index.ts'
import { memoryAtStart, type Recording } from '../../../run/index.ts'
import { anything, mostValues, type Answer, type Asked } from './asked.ts'

/** The bytes that are wrong, of a short block all; else what was changed that should not have been. */
export const memoryQuestions: Answer = (asked) => {
  const { fields, recording, model } = asked
  const want = fields['want'] as readonly { at: Addr; bytes: readonly number[] | 'model'; length: number }[]
  const blocks = want.map(({ at, bytes, length }) => {
    const wanted = bytes === 'model' ? (model()?.memory.subarray(at, at + length) ?? []) : bytes
    return Array.from(wanted, (value, i) => ({ address: (at + i) & 0xffff, value }))
  })
  const wrong = blocks.map((block) => bytesWrong(recording, block)).filter((questions) => questions.length > 0)
  if (wrong.length === 0) return changedElsewhere(asked, want)
  // A block of a few bytes is one number: the high byte may be wrong for what happened to the low one.
  const short = blocks.find((block) => block.length <= mostValues && bytesWrong(recording, block).length > 0)
  return short === undefined ? wrong.flat() : [wholeBlock(recording, short), ...wrong.flat()]
}

/** Bytes of the digit buffer that are wrong. */
export const bufferQuestions: Answer = ({ fields, recording, profile }) => {
  const glyphs = fields['glyphs'] as string | null
  const bytes = fields['bytes'] as readonly number[] | null
  const wanted = bytes ?? Array.from(glyphs ?? '', (glyph) => segmentsOf(glyph) ?? 0)
  const at = profile.layout.digitBuffer
  return bytesWrong(
    recording,
    wanted.map((value, i) => ({ address: at + i, value })),
  )
}

/** One question about all the bytes that are wrong, the first of them first. */
function bytesWrong(
  { result }: Recording,
  wanted: readonly { readonly address: Addr; readonly value: number }[],
): ReturnType<Answer> {
  const wrong = wanted.filter(({ address, value }) => result.memory[address] !== value).map(({ address }) => address)
  const [address, ...others] = wrong
  if (address === undefined) return []
  const more = others.slice(0, mostValues - 1)
  return [{ step: result.steps, target: { kind: 'memory', address, ...(more.length > 0 ? { others: more } : {}) } }]
}

/** One question about all bytes of a block, the first wrong one first. */
function wholeBlock(
  { result }: Recording,
  block: readonly { readonly address: Addr; readonly value: number }[],
): ReturnType<Answer>[number] {
  const isWrong = ({ address, value }: { readonly address: Addr; readonly value: number }): boolean =>
    result.memory[address] !== value
  const addresses = [...block.filter(isWrong), ...block.filter((each) => !isWrong(each))].map(({ address }) => address)
  const [address = 0, ...others] = addresses
  return { step: result.steps, target: { kind: 'memory', address, ...(others.length > 0 ? { others } : {}) } }
}

/** Bytes that the task leaves alone and that are not as they were. */
function changedElsewhere(
  asked: Asked,
  want: readonly { readonly at: Addr; readonly bytes: readonly number[] | 'model'; readonly length: number }[],
): ReturnType<Answer> {
  const { fields, recording, request, profile } = asked
  const top = request.given.registers.sp ?? profile.layout.stackTop
  const spared = [
    ...want.map(({ at, bytes, length }) => ({ from: at, to: at + (bytes === 'model' ? length : bytes.length) - 1 })),
    ...(fields['except'] as readonly { readonly from: Addr; readonly to: Addr }[]),
    { from: top - (fields['stackBytes'] as number), to: top - 1 },
  ]
  const before = memoryAtStart(request)
  const changed = profile.memory
    .filter(({ kind }) => kind === 'ram')
    .flatMap(({ from, to }) => Array.from({ length: to - from + 1 }, (_, i) => from + i))
    .filter((address) => !spared.some(({ from, to }) => address >= from && address <= to))
    .map((address) => ({ address, value: before[address] ?? 0 }))
  const wrong = bytesWrong(recording, changed)
  return wrong.length > 0 ? wrong : anything(asked)
}
