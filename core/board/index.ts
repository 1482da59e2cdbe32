export type { BoardProfile, MemoryRegion, Routine } from './profile.ts'
export { benchEight, boardProfiles } from './bench-eight.ts'
export { boardProfileSchema } from './profile-schema.ts'
export { validateProfile, type ProfileReading } from './validate-profile.ts'
export { closed, problem, problemsBySchema, type DocumentProblem, type Schema } from './schema.ts'
export type { BoardEvent, DigitMeasure, DigitSpan, DigitState, DisplayMeasure, Note, SpeakerMeasure } from './event.ts'
export { EventLog, eventCode } from './event-log.ts'
export { countWork, withinWork, withoutCount, workDone } from './work.ts'
export { Digest } from './digest.ts'
export { digitTimeline } from './digit-timeline.ts'
export { lightOf, type Light } from './light.ts'
export { isDisplayDark, measureDisplay } from './display-measure.ts'
export { glyphOf, segmentsOf } from './glyph.ts'
export {
  dutyNear,
  lengthNear,
  measureSpeaker,
  notesOf,
  pitchNear,
  silenceBetween,
  silenceNear,
  speakerEdges,
  type SpeakerEdges,
  type TimeWindow,
} from './speaker.ts'
export type { KeyPress } from './keypad.ts'
export type { SwitchMove } from './switches.ts'
export { Board, type BoardState } from './board.ts'
export { bytesOfHex, powerOn, ramPages, readOnlyStretches } from './memory-map.ts'
