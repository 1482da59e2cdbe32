import { eventCode } from '../../../board/index.ts'
import { theEnd, type Answer, type Asked } from './asked.ts'

const pairNames = ['af', 'bc', 'de', 'hl', 'ix', 'iy'] as const

/** Registers that the interrupt handler did not bring back; else where its time went. */
export function handlerQuestions(asked: Asked): ReturnType<Answer> {
  const { recording, step } = asked
  const { events } = recording
  const [last] = recording.steps(step - 1, step)
  if (last === undefined) return theEnd(asked)
  for (let i = events.firstFrom(last.t + last.tStates) - 1; i >= 0; i--) {
    if (events.codeAt(i) !== eventCode.interrupt) continue
    const entry = recording.stepAt(events.timeAt(i))
    const before = recording.at(entry).registers
    const changed = pairNames.filter((pair) => before[pair] !== last.after[pair])
    const registers = changed.map((register) => ({ step, target: { kind: 'register', register } as const }))
    return [...registers, { step, target: { kind: 'time', from: entry } }]
  }
  return theEnd(asked)
}
