import { eventCode } from '../../../board/index.ts'
import type { Addr } from '../../../cpu/index.ts'
import type { Recording } from '../../../run/index.ts'
import { anything, port, theEnd, theTime, type Answer, type Question } from './asked.ts'
import { digitQuestions, keyQuestions, signQuestions } from './display.ts'
import { handlerQuestions } from './handler.ts'
import { bufferQuestions, memoryQuestions } from './memory.ts'
import { wantedCall, wantedInstruction } from './never-ran.ts'
import { flagQuestions, keptQuestions, registerQuestions } from './registers.ts'
import { soundQuestions, toneQuestions } from './sound.ts'

/** The byte that a check follows through the run, as it was when the check was decided. */
const byteAfterKey: Answer = ({ fields, step }) => [{ step, target: { kind: 'memory', address: fields['at'] as Addr } }]

/** What repeats: a byte, the buffer behind a digit, or a tone. Without interrupts the time of a program is in itself. */
const beatQuestions: Answer = (asked) => {
  const { fields, profile, recording, step } = asked
  const digit = fields['digit'] as number | null
  const address = (fields['address'] as Addr | null) ?? (digit === null ? null : profile.layout.digitBuffer + digit - 1)
  const time: Question = { step, target: { kind: 'time', from: 0 } }
  if (address === null) return [time, { step, target: port(profile.speaker.port) }]
  const byte: Question = { step, target: { kind: 'memory', address } }
  return hasInterrupts(recording) ? [byte, time] : [time, byte]
}

function hasInterrupts({ events }: Recording): boolean {
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === eventCode.interrupt) return true
  return false
}

/** What to ask about a check that failed, by its kind. */
const answers: Readonly<Record<string, Answer>> = {
  registers: registerQuestions,
  'registers-kept': keptQuestions,
  flags: flagQuestions,
  memory: memoryQuestions,
  'digit-buffer': bufferQuestions,
  'digits-seen': digitQuestions,
  'signs-in-turn': signQuestions,
  'shown-after-key': keyQuestions,
  handler: handlerQuestions,
  drift: beatQuestions,
  'memory-after-key': byteAfterKey,
  speaker: soundQuestions,
  'tones-in-turn': toneQuestions,
  't-states': theTime,
  size: () => [],
  'program-bytes': () => [],
  'run-end': theEnd,
  'stack-balance': (asked) => [
    { step: asked.recording.result.steps, target: { kind: 'register', register: 'sp' } },
    ...anything(asked),
  ],
  'required-instruction': wantedInstruction,
  'calls-routine': wantedCall,
}

/** How to ask about a failed check of a kind; of kinds without an answer of their own, about the decisive instruction. */
export function answerFor(kind: string): Answer {
  return answers[kind] ?? anything
}
