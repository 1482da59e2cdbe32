import type { Addr } from '../../../cpu/index.ts'
import { segmentsOf } from '../../../board/index.ts'
import { blockOf, type WantedBytes } from '../../../exercise/index.ts'
import { memoryAtStart, type Recording } from '../../../run/index.ts'
import { anything, mostValues, type Answer, type Asked } from './asked.ts'

/** The bytes that are wrong, of a short block all; else what was changed that should not have been. */
export const memoryQuestions: Answer = (asked) => {
  const { fields, recording, model } = asked
  const { memory } = recording.result
  const blocks = (fields['want'] as readonly WantedBytes[]).map((each) => blockOf(each, model))
  const wrong = blocks.flatMap((block) => {
    const bad = block.wrongIn(memory).map((i) => block.at + i)
    return bad.length === 0 ? [] : [{ block, bad }]
  })
  if (wrong.length === 0) return changedElsewhere(asked, blocks)
  // A block of a few bytes is one number: the high byte may be wrong for what happened to the low one.
  const short = wrong.find(({ block }) => block.length <= mostValues)
  const questions = wrong.flatMap(({ bad }) => askedOf(recording, bad.slice(0, mostValues)))
  if (short === undefined) return questions
  const all = Array.from({ length: short.block.length }, (_, i) => short.block.at + i)
  return [...askedOf(recording, [...short.bad, ...all.filter((each) => !short.bad.includes(each))]), ...questions]
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
  recording: Recording,
  wanted: readonly { readonly address: Addr; readonly value: number }[],
): ReturnType<Answer> {
  const { memory } = recording.result
  const wrong = wanted.filter(({ address, value }) => memory[address] !== value).map(({ address }) => address)
  return askedOf(recording, wrong.slice(0, mostValues))
}

/** One question about several bytes, the first of them first. */
function askedOf({ result }: Recording, addresses: readonly Addr[]): ReturnType<Answer> {
  const [address, ...others] = addresses.map((each) => each & 0xffff)
  if (address === undefined) return []
  return [{ step: result.steps, target: { kind: 'memory', address, ...(others.length > 0 ? { others } : {}) } }]
}

/** Bytes that the task leaves alone and that are not as they were. */
function changedElsewhere(
  asked: Asked,
  blocks: readonly { readonly at: Addr; readonly length: number }[],
): ReturnType<Answer> {
  const { fields, recording, request, profile } = asked
  const top = request.given.registers.sp ?? profile.layout.stackTop
  const spared = [
    ...blocks.map(({ at, length }) => ({ from: at, to: at + length - 1 })),
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
