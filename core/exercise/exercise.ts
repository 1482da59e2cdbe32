import type { Check } from './check-schema.ts'
import { defaultEventLimit } from '../run/index.ts'
import { exerciseCase, given } from './case.ts'
import { constant, type WrittenParts } from './constants.ts'
import { feedback, noFeedbackSettings } from './feedback.ts'
import { question } from './question.ts'
import {
  choice,
  dictionary,
  duration,
  either,
  isFields,
  list,
  name,
  number,
  object,
  optional,
  required,
  text,
  whole,
  word,
  type Field,
  type Fields,
  type ObjectSchema,
  type Read,
  type Schema,
} from './schema/index.ts'

/** The mark of the document's version; a reader refuses any other. */
export const exerciseFormat = 'hexcairn-exercise/1'

export const programFormats = ['hex', 'intel-hex', 'assembly'] as const

const programRange = object('program-range', 'Addresses from one to another, both included.', {
  from: required(word, 'First address.'),
  to: required(word, 'Last address.'),
})

const program = object('program', 'What a hand-in has to be.', {
  origin: optional(word, 'Where a program without addresses begins.', null, 'where the board has programs'),
  entry: optional(word, 'Where execution starts.', null, "the program's own entry, else its lowest address"),
  ends: optional(choice(['halt', 'return']), 'How the program ends: HALT, or RET to its caller.', 'halt' as const),
  maxBytes: optional(whole(1, 4096), 'Most bytes taken in at all.', 1024),
  ranges: optional(list(programRange, 1, 16), 'Where bytes may stand.', null, "the board's program area"),
  constants: optional(
    dictionary(/^[A-Za-z_][A-Za-z0-9_]{0,30}$/, 'letters, digits and underscores', word),
    'Names an assembly hand-in may use, beside the firmware’s.',
    {},
  ),
})

const group = object('group', 'Checks that belong together, with their marks.', {
  id: required(name, 'Its short name; checks name it in `group`.'),
  title: required(text(1, 80), 'What a reader calls it.'),
  marks: required(number(0, 100), 'Marks for all its checks; groups and questions together have 100.'),
  restsOn: optional(
    list(name, 0, 64),
    'Checks, or whole groups, on which its checks rest: they count in full once those have earned half of their own marks, and before that in proportion.',
    [],
    'nothing: they count in full',
  ),
})

const hint = object('hint', 'One rung of the ladder of hints.', {
  rung: required(choice(['point', 'concept', 'nearly']), 'Where to look; what to know; what nearly is the answer.'),
  ask: required(text(1, 300), 'A question to answer before the hint is shown.'),
  say: required(text(1, 1000), 'The hint.'),
  checks: optional(list(name, 0, 64), 'Offered when one of these checks failed.', [], 'always'),
})

const card = object('card', 'A concept in at most 120 words with one worked example.', {
  id: required(name, 'Its short name.'),
  title: required(text(1, 80), 'What a reader calls it.'),
  text: required(text(1, 1200), 'The concept.'),
  example: required(text(1, 800), 'A worked example.'),
  checks: optional(list(name, 0, 64), 'Offered when one of these checks failed.', [], 'always'),
})

const modelFile = object('model-file', 'A model answer in a file beside the document.', {
  file: required(text(1, 80), 'The file’s name.'),
})

const modelText = object('model', 'A model answer.', {
  format: required(choice(programFormats), 'How it is written.'),
  text: required(text(1, 200_000), 'The program.'),
})

/** So many events are the most that a grader's memory has room for: 14 bytes each, and what is made of them. */
export const mostEvents = 2_000_000

/** All fields of an exercise but its checks, whose form depends on their kind. */
export const exerciseFields = {
  format: required(choice([exerciseFormat]), 'The version of this form.'),
  id: required(name, 'The short name of the exercise.'),
  title: required(text(1, 120), 'What a reader calls it.'),
  board: required(name, 'The board it is for.'),
  brief: required(text(1, 8000), 'The task, for the student.'),
  cautions: optional(list(text(1, 600), 0, 10), 'Shown where the exercise meets real hardware.', []),
  accepts: optional(list(choice(programFormats), 1, 3), 'The forms a hand-in may have.', programFormats),
  program: optional(
    program,
    'What a hand-in has to be.',
    program.read({}, [], () => undefined) ?? null,
    'its defaults',
  ),
  budget: optional(duration, 'T-states after which each run is stopped.', { amount: 40_000_000, unit: 'T' } as const),
  events: optional(
    whole(1000, mostEvents),
    'Port reads and writes, speaker edges, interrupts and, where a check looks at them, memory writes after which each run is stopped; a speaker edge counts as three more, and so does switching segments of the display on or off, and one more for every four. A case with a shorter budget of its own has its share of them, 400,000 at least.',
    defaultEventLimit,
  ),
  given: optional(given, 'What the machine holds when each run begins.', null, 'power-on values'),
  cases: required(list(exerciseCase, 1, 64), 'The runs on which the checks are decided.'),
  groups: required(list(group, 1, 12), 'The groups of checks; their marks and those of the questions add up to 100.'),
  questions: optional(list(question, 0, 6), 'Questions to answer in words, marked by a person.', []),
  hints: optional(list(hint, 0, 12), 'The ladder of hints.', []),
  cards: optional(list(card, 0, 12), 'Concept cards.', []),
  constants: optional(list(constant, 0, 16), 'Values of which each student gets their own.', []),
  nearlyRight: optional(
    whole(1, 90),
    'What a program has at least that one byte or one instruction keeps from full marks, in per cent of the marks for checks. Not where the model answer has fewer than four instructions, or more than twice the bytes of the program.',
    null,
    'no more than its checks give',
  ),
  repair: optional(
    choice(['staff', 'narrowed', 'shown']),
    'Who learns of a passing program found near a hand-in: staff alone; students as a hint that narrows; students in full.',
    'narrowed' as const,
  ),
  compare: optional(
    choice(['staff', 'students']),
    'Who may see the run of the model answer beside that of a hand-in.',
    'staff' as const,
  ),
  feedback: optional(
    feedback,
    'What is changed about the messages that students get.',
    noFeedbackSettings,
    'as the course says',
  ),
  model: optional(
    either(modelFile, (value) => isFields(value) && Object.hasOwn(value, 'file'), modelText),
    'The model answer, in the document or in a file beside it. Never shown to students.',
    null,
    'none; then no check may say `model`',
  ),
} satisfies Fields

type WithoutChecks = Read<ObjectSchema<typeof exerciseFields>>

const writtenParts: Schema<WrittenParts> = {
  allowed: 'what a reader of the document put there',
  parts: [],
  json: () => ({ type: 'object' }),
  // Whatever stands there was plain data before; its parts are read again with values in place of the names.
  read: (value) => (isFields(value) ? (value as unknown as WrittenParts) : undefined),
}

/** How a program is handed in, and how the model answer is kept. */
export interface ProgramText {
  readonly format: (typeof programFormats)[number]
  readonly text: string
}

/** An exercise that has been read: plain JSON, every default filled in. Reading it again gives the same. */
export type Exercise = Omit<WithoutChecks, 'model' | 'program'> & {
  /** `given` and `cases` before constants were put in their places; null where none stand there. */
  readonly written: WrittenParts | null
  readonly program: Read<typeof program>
  readonly model: ProgramText | null
  readonly checks: readonly Check[]
}

/** The schema of the whole document, given the schema of its list of checks. */
export function exerciseSchema<T>(
  checks: Schema<T>,
): ObjectSchema<typeof exerciseFields & { checks: Field<T>; written: Field<WrittenParts | null> }> {
  return object('exercise', 'An exercise: a task, the runs that try a hand-in, and the checks that mark it.', {
    ...exerciseFields,
    checks: required(checks, 'What is checked.'),
    written: optional(
      writtenParts,
      'Given values and cases as they were written, where constants stand in them. An author leaves it out.',
      null,
      'made by the reader',
    ),
  })
}
