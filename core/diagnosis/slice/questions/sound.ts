import { notesOf, pitchNear, silenceBetween, silenceNear } from '../../../board/index.ts'
import type { TState } from '../../../cpu/index.ts'
import { edgeTimes, port, theEnd, theTime, timeOf, type Answer, type Asked, type Question } from './asked.ts'

/** The wave at the place where it was decided, or where the time of the whole went. */
export function soundQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, fields, step } = asked
  const edges = edgeTimes(recording)
  const t = recording.at(step).t
  const last = edges.findLastIndex((each) => each < t)
  if (last < 0) return [{ step: recording.result.steps, target: port(profile.speaker.port) }, ...theEnd(asked)]
  const from = recording.stepAt(edges[Math.max(0, last - 1)] ?? 0)
  const to = recording.stepAt(edges[last] ?? 0) + 1
  const wave: ReturnType<Answer> = [
    { step: to, target: { kind: 'time', from } },
    { step: to, target: port(profile.speaker.port) },
  ]
  const shape = ['frequency', 'frequencies', 'duty', 'maxJitter']
  const isOfShape = shape.some((field) => (fields[field] ?? null) !== null)
  return isOfShape ? [...wave, ...theEnd(asked)] : [...theTime(asked), ...wave, ...theEnd(asked)]
}

/** So many edges of a tone are enough to tell where its time went. */
const edgesOfTone = 32

/**
 * A tone of the wrong pitch: where the time of its waves went. A silence that is too long or too short: where its time went. Of a tone
 * that is too long or comes too late what moved the cone.
 */
export function toneQuestions(asked: Asked): ReturnType<Answer> {
  const { profile, recording, step } = asked
  const edges = edgeTimes(recording)
  const t = recording.at(step).t
  const last = edges.findLastIndex((each) => each < t)
  if (last < 0) return [{ step: recording.result.steps, target: port(profile.speaker.port) }, ...theEnd(asked)]
  const stepOf = (edge: number): number => recording.stepAt(edges[Math.max(0, Math.min(edges.length - 1, edge))] ?? 0)
  const moved: Question = { step: stepOf(last) + 1, target: port(profile.speaker.port) }
  const timeBetween = (from: number, to: number): Question => ({
    step: stepOf(to) + 1,
    target: { kind: 'time', from: stepOf(from) },
  })
  switch (wrongAtStart(asked, edges[last] ?? 0)) {
    case 'pitch':
      return [timeBetween(last, last + edgesOfWaves), moved]
    case 'silence':
      return [timeBetween(last - 1, last), moved]
    case null:
      return [moved, timeBetween(last - edgesOfTone, last), ...theEnd(asked)]
  }
}
interface Amount {
  readonly amount: number
  readonly unit: string
}

/** Two whole waves. */
const edgesOfWaves = 4

/** What is wrong with the tone that begins at T-state `t`; null for none that begins then, or something else. */
function wrongAtStart({ fields, profile, recording }: Asked, t: TState): 'pitch' | 'silence' | null {
  const from = timeOf(fields['from'], profile.clockHz) ?? 0
  const to = timeOf(fields['to'], profile.clockHz) ?? recording.result.tStates + 1
  const notes = notesOf(recording.events, profile, { from, to }).filter((note) => note.edges > 1)
  const which = notes.findIndex((note) => note.from === t)
  const note = notes[which]
  const wanted = (fields['frequencies'] as readonly number[])[which]
  const { amount, unit } = fields['frequencyWithin'] as Amount
  if (note === undefined || wanted === undefined) return null
  const most = unit === '%' ? (wanted * amount) / 100 : amount
  if (Math.abs(pitchNear(note, wanted) - wanted) > most) return 'pitch'
  const before = notes[which - 1]
  if (before === undefined) return null
  const pause = (fields['pauses'] as readonly unknown[] | null)?.[which - 1] ?? 'any'
  if (pause !== 'any') {
    const silence = timeOf(pause, profile.clockHz) ?? 0
    const { amount: part, unit: of } = fields['pausesWithin'] as Amount
    const within = of === '%' ? (silence * part) / 100 : (timeOf(fields['pausesWithin'], profile.clockHz) ?? 0)
    return Math.abs(silenceNear(before, note, silence, profile) - silence) > within ? 'silence' : null
  }
  const longest = timeOf(fields['maxGap'], profile.clockHz)
  return longest !== null && silenceBetween(before, note, profile) > longest ? 'silence' : null
}
