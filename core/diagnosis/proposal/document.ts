import type { BoardProfile } from '../../board/index.ts'
import type { ExerciseDraft } from './proposal.ts'

/** An exercise as plain data, before it is read. */
export type Document = Readonly<Record<string, unknown>>

const groupTitles = { function: 'What it does', timing: 'Time', care: 'Size and care' } as const

/** What a program one slip from right has at least, in per cent; instructors may change it. */
const nearlyRight = 60

/** What the model answer needs more of than usual; null where it does not. */
export interface Bounds {
  readonly budget: string | null
  readonly events: number | null
}

/**
 * The document of a draft with these cases and checks, a budget where the author gave none, and marks for a program that is
 * nearly right. It has the groups that have a
 * check; time and care rest on the first check of what the program does.
 */
export function documentOf(
  { title, brief, model, id, fields = {} }: ExerciseDraft,
  profile: BoardProfile,
  { budget, events }: Bounds,
  cases: readonly unknown[],
  checks: readonly Document[],
): Document {
  const used = (['function', 'timing', 'care'] as const).filter((each) => checks.some(({ group }) => group === each))
  const marks = used.includes('timing') ? { function: 60, timing: 20, care: 20 } : { function: 75, timing: 0, care: 25 }
  const total = used.reduce((sum, each) => sum + marks[each], 0)
  const first = checks.find(({ group, kind }) => group === 'function' && kind !== 'run-end') ?? checks[0]
  return {
    format: 'hexcairn-exercise/1',
    id: id ?? idOf(title),
    title,
    board: profile.id,
    brief,
    // A worksheet is nothing but its bytes: marks by share say all there is to say.
    ...(checks.every(({ kind }) => kind === 'program-bytes') ? {} : { nearlyRight }),
    ...fields,
    ...(budget === null ? {} : { budget }),
    ...(events === null ? {} : { events }),
    cases,
    groups: used.map((each, i) => ({
      id: each,
      title: groupTitles[each],
      marks: i === 0 ? marks[each] + 100 - total : marks[each],
      ...(each !== 'function' && first?.['group'] === 'function' ? { restsOn: [first['id']] } : {}),
    })),
    checks,
    model: { format: model.format, text: model.text },
  }
}

/** `Carry the fare` as `carry-the-fare`. */
function idOf(title: string): string {
  const id = title
    .toLowerCase()
    .replace(/[^a-z0-9]+/g, '-')
    .replace(/^-+|-+$/g, '')
    .slice(0, 40)
  return id === '' ? 'exercise' : id
}
