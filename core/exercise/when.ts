import { orOfCase } from './checks/check.ts'
import { choice, duration, either, object, optional, text, whole, word, type Read } from './schema/index.ts'

/** A moment of the run at which a check looks, in place of its end. */
export const when = object(
  'when',
  'A moment of the run at which a check looks, in place of its end: one of time, address, routine, call.',
  {
    time: optional(orOfCase(duration), 'So long after the start of the run.', null, 'another of these'),
    address: optional(
      orOfCase(word),
      'When the instruction at this address is about to run.',
      null,
      'another of these',
    ),
    routine: optional(text(1, 16), 'When a call of this routine of the board has come back.', null, 'another of these'),
    call: optional(
      either(choice(['each']), (value) => typeof value === 'string', whole(1, 256)),
      'After this call of the program, in a case with `calls`, counted from 1; `each`: after every one of them.',
      null,
      'another of these',
    ),
    nth: optional(whole(1, 65_535), 'With address or routine: the first time, the second, and so on.', 1),
  },
)

export type When = Read<typeof when>

/** What is wrong with a moment, as what was found; null where nothing is. */
export function whenProblem({ time, address, routine, call }: When): string | null {
  const given = [time, address, routine, call].filter((each) => each !== null).length
  return given === 1 ? null : given === 0 ? 'no moment' : `${given} moments`
}
