import { orOfCase } from './checks/check.ts'
import { plainValue } from './plain-value.ts'
import {
  byte,
  bytes,
  choice,
  dictionary,
  duration,
  either,
  flag,
  list,
  name,
  object,
  optional,
  required,
  text,
  whole,
  word,
  type Read,
  type Schema,
} from './schema/index.ts'

/** Names of registers as a document writes them, single and paired; a trailing `_` is the second set. */
export const registerNames = [
  ...['a', 'f', 'b', 'c', 'd', 'e', 'h', 'l', 'i', 'r', 'ixh', 'ixl', 'iyh', 'iyl'],
  ...['af', 'bc', 'de', 'hl', 'ix', 'iy', 'sp', 'af_', 'bc_', 'de_', 'hl_'],
] as const

export type RegisterName = (typeof registerNames)[number]

/** True for the registers of 8 bits. */
export function isByteRegister(register: RegisterName): boolean {
  return register.length === 1 || register.length === 3 ? !register.endsWith('_') : false
}

const registerPattern = new RegExp(`^(${registerNames.join('|')})$`)

/** A group of registers by name, each with what `item` takes. */
export function byRegister<T>(item: Schema<T>): Schema<Readonly<Record<string, T>>> {
  return dictionary(registerPattern, registerNames.join(', '), item, registerNames)
}

const memoryBlock = object('memory-block', 'Bytes that stand in memory from an address upwards.', {
  at: required(orOfCase(word), 'Address of the first byte.'),
  bytes: required(orOfCase(bytes(1, 4096)), 'The bytes.'),
})

const keyPress = object('key-press', 'A key pressed and let go.', {
  key: required(text(1, 16), "The key's name on the board."),
  at: required(duration, 'When the contact closes, from the start of the run.'),
  for: required(duration, 'How long it stays closed.'),
  bounce: optional(duration, 'How long the contact makes and breaks at both ends.', null, 'no bounce'),
})

const switchMove = object('switch-move', 'The switches moved during the run.', {
  at: required(duration, 'When they are moved, from the start of the run.'),
  to: required(orOfCase(byte), 'How all of them stand from then on, one bit each.'),
})

const driver = object(
  'driver',
  'A short program of the instructor that calls the student’s, for many inputs in one run.',
  {
    origin: required(word, 'Where it stands; the run begins there and ends with its HALT.'),
    assembly: required(text(1, 4000), 'Its source; ENTRY is the address of the student’s program.'),
  },
)

/** What the machine holds when a run begins. */
export const given = object('given', 'What the machine holds when a run begins.', {
  registers: optional(byRegister(orOfCase(word)), 'Registers at the start; all others hold drawn values.', {}),
  memory: optional(list(memoryBlock, 0, 64), 'Bytes put into memory after the program was loaded.', []),
  keys: optional(list(keyPress, 0, 200), 'Keys over time.', []),
  idleKeys: optional(
    either(choice(['others']), (value) => typeof value === 'string', list(text(1, 16), 1, 64)),
    'Keys pressed between those of the task, and before the first, that must change nothing: by name, or `others`, all that no case presses.',
    null,
    'none',
  ),
  switches: optional(orOfCase(byte), 'Switches at the start, one bit each.', null, 'all off'),
  switchMoves: optional(list(switchMove, 0, 200), 'Switches over time.', []),
  idleSwitches: optional(
    either(choice(['others']), (value) => typeof value === 'string', list(whole(0, 7), 1, 8)),
    'Switches that must change nothing, by their bits, or `others`, all that no case has on: some of them are on at the start, in the next run the others, and they are moved in the same gaps as idle keys.',
    null,
    'none',
  ),
  fill: optional(
    either(choice(['random']), (value) => typeof value === 'string' && /^[a-z]+$/.test(value), byte),
    'What unused RAM holds: `random` (drawn) or one byte everywhere.',
    null,
    'random',
  ),
  timer: optional(flag, 'The timer interrupt runs from the start.', null, 'as the board does'),
  driver: optional(driver, 'A program of the instructor that calls the student’s.', null),
})

export type Given = Read<typeof given>

/** As of a case that says nothing. */
export const nothingGiven: Given = {
  ...{ registers: {}, memory: [], keys: [], idleKeys: null, switches: null, switchMoves: [], idleSwitches: null },
  ...{ fill: null, timer: null, driver: null },
}

const draw = object('draw', 'A value drawn for each run of a case, the same for every student.', {
  register: optional(choice(registerNames), 'The register that gets it.', null, 'give `at` instead'),
  at: optional(orOfCase(word), 'Or the address of the first byte that gets one.', null, 'give `register` instead'),
  length: optional(whole(1, 1024), 'How many bytes from `at` are drawn.', 1),
  from: optional(orOfCase(word), 'Smallest value.', 0),
  to: optional(orOfCase(word), 'Largest value, itself included.', 255),
  decimal: optional(flag, 'Each byte holds two decimal figures; `from` and `to` are at most 99.', false),
})

export type Draw = Read<typeof draw>

const call = object('call', 'One call of the program in a case with several.', {
  registers: optional(
    byRegister(orOfCase(word)),
    'Registers at the call, beside those of `given`; all others hold values drawn for this call.',
    {},
  ),
  memory: optional(list(memoryBlock, 0, 16), 'Bytes put into memory before the call.', []),
  draws: optional(list(draw, 0, 16), 'Values drawn for this call; with `times` other ones each time it is made.', []),
  expect: optional(
    dictionary(/^[a-z][A-Za-z0-9]{0,30}$/, 'names that begin with a small letter', plainValue),
    'Values that belong to this call; a check with `when: { call: each }` takes one by writing `$name`.',
    {},
  ),
  times: optional(whole(1, 64), 'How many times in turn it is made.', 1),
})

export type Call = Read<typeof call>

/** One run, or several with drawn values, on which the checks are decided. */
export const exerciseCase = object('case', 'One run, or several with drawn values, on which checks are decided.', {
  id: required(name, 'Its short name; checks name it in `cases`.'),
  title: optional(text(1, 120), 'What a reader calls it.', null, 'its id'),
  visible: optional(flag, 'Students may see it.', true),
  given: optional(given, 'Added to the `given` of the exercise; what stands here wins.', null, 'as the exercise'),
  expect: optional(
    dictionary(/^[a-z][A-Za-z0-9]{0,30}$/, 'names that begin with a small letter', plainValue),
    'Values that belong to this case; a check takes one by writing `$name`.',
    {},
  ),
  draws: optional(list(draw, 0, 32), 'Values drawn for each run, the same for every student.', []),
  boundaries: optional(
    flag,
    'Runs of its own for the limits of each drawn value: lowest, highest, 0, 1, 7Fh, 80h, FFh, 100h, 7FFFh, 8000h, FFFFh; of several bytes the highest and lowest first and last; all equal.',
    false,
  ),
  times: optional(whole(1, 64), 'How many runs are drawn; the runs are named `id-1`, `id-2` and so on.', 1),
  calls: optional(
    list(call, 0, 64),
    'The program is called several times in one run, each time with other inputs; `program.ends` has to be `return`.',
    [],
    'one run of the program itself',
  ),
  callsAt: optional(word, 'Where the driver that makes the calls stands.', null, 'just below the board’s data'),
  budget: optional(duration, 'T-states after which this case is stopped.', null, 'the budget of the exercise'),
})

export type ExerciseCase = Read<typeof exerciseCase>
