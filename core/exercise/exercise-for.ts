import { drawnConstants, filledText, fixed, placed, type ConstantValues } from './constants.ts'
import type { Exercise } from './exercise.ts'
import { documentSchema } from './parse.ts'

const known = new WeakMap<Exercise, Map<number, Exercise>>()
/** What this file made, with the exercise that it was made of. */
const origins = new WeakMap<Exercise, Exercise>()
const mostKept = 64

/**
 * The exercise with the constants of one student in their places: in cases, checks and texts. Each constant then has the
 * one value. An exercise without constants is given back as it is, and so is what this function made. Grading, `studentView`
 * and the trace have to agree on the seed.
 */
export function exerciseFor(exercise: Exercise, seed: number): Exercise {
  if (exercise.constants.length === 0 || origins.has(exercise)) return exercise
  const shelf = known.get(exercise) ?? new Map<number, Exercise>()
  known.set(exercise, shelf)
  const before = shelf.get(seed)
  if (before !== undefined) return before
  const made = withConstants(exercise, drawnConstants(exercise.id, exercise.constants, seed))
  origins.set(made, exercise)
  const [oldest] = shelf.keys()
  if (shelf.size >= mostKept && oldest !== undefined) shelf.delete(oldest)
  shelf.set(seed, made)
  return made
}

/** The exercise as it is in its document: `exerciseFor` undone. Any other exercise is given back as it is. */
export function withoutOwnConstants(exercise: Exercise): Exercise {
  return origins.get(exercise) ?? exercise
}

function withConstants(exercise: Exercise, values: ConstantValues): Exercise {
  const { written, constants } = exercise
  const parts = written === null ? {} : placed(written, values, () => undefined)
  // Under a name that every document may have: one that is drawn anew (`drawnAnew`) has a name of its own.
  const document = { ...exercise, id: 'own', ...parts }
  const read = written === null ? undefined : documentSchema.read(document, [], () => undefined)
  const text = (held: string): string => filledText(held, constants, values)
  const { given, cases } = read ?? exercise
  return {
    ...exercise,
    brief: text(exercise.brief),
    cautions: exercise.cautions.map(text),
    given,
    cases: cases.map((each) => ({ ...each, title: each.title === null ? null : text(each.title) })),
    groups: exercise.groups.map((each) => ({ ...each, title: text(each.title) })),
    hints: exercise.hints.map((each) => ({ ...each, ask: text(each.ask), say: text(each.say) })),
    cards: exercise.cards.map((each) => ({ ...each, text: text(each.text), example: text(each.example) })),
    checks: exercise.checks.map((each) => ({
      ...each,
      title: text(each.title),
      note: each.note === null ? null : text(each.note),
    })),
    feedback: {
      ...exercise.feedback,
      texts: Object.fromEntries(Object.entries(exercise.feedback.texts).map(([id, held]) => [id, text(held)])),
    },
    constants: constants.map((each) => fixed(each, values[each.name] ?? null)),
    written: null,
  }
}
