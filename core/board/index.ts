export type { BoardProfile, Routine } from './profile.ts'
export type { BoardEvent, DigitSpan, SpeakerMeasure } from './event.ts'
