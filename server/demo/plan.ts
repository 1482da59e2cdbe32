import type { CourseFiles, ExerciseFiles, ProgramFile } from './course-files.ts'

/** One hand-in of the demo class. */
export interface PlannedHandIn {
  readonly userName: string
  readonly exerciseId: string
  readonly program: ProgramFile
  /** Hours before the demo was started. */
  readonly hoursAgo: number
  /** What is written to the questions of the exercise. */
  readonly answers: ReadonlyMap<string, string>
}

const day = 24

/** When each exercise opens, is due and ends, in hours from the start of the demo; by its place among `count`. */
export function scheduleOf(place: number, count: number): { opens: number; due: number; closes: number } {
  const due = place === 0 ? -8 : 2 * day + Math.round((place * 14 * day) / count)
  return { opens: -10 * day + place, due, closes: due + 2 * day }
}

/**
 * What the class handed in: every student works through the exercises in order, with mistakes on the way, and gets a
 * different way along. The earlier an exercise, the more of them have it done.
 */
export function planClass(course: CourseFiles, userNames: readonly string[]): PlannedHandIn[] {
  return userNames.flatMap((userName, row) =>
    course.exercises.flatMap((exercise, place) => {
      const diligence = (row * 7 + 3) % userNames.length
      const reach = 2 + (diligence % course.exercises.length)
      if (place > reach) return []
      const { due } = scheduleOf(place, course.exercises.length)
      const hoursAgo = Math.max(2, Math.min(7 * day, -due) + 3 + ((row * 5 + place * 11) % 30))
      return attempts(exercise, row, place, place === reach).map((program, i, all) => ({
        userName,
        exerciseId: exercise.id,
        program,
        hoursAgo: hoursAgo + (all.length - 1 - i) * 0.4,
        answers: i === all.length - 1 ? answersOf(exercise, row) : new Map(),
      }))
    }),
  )
}

/** To each question one of the answers that the class has for it, or nothing. */
function answersOf({ answers }: ExerciseFiles, row: number): ReadonlyMap<string, string> {
  return new Map(
    Object.entries(answers).flatMap(([id, texts]) => {
      const text = texts[row % (texts.length + 1)]
      return text === undefined ? [] : [[id, text] as const]
    }),
  )
}

/** None to two mistakes, then a right answer; at the exercise somebody is sitting on, mistakes only. */
function attempts(exercise: ExerciseFiles, row: number, place: number, isUnderWay: boolean): ProgramFile[] {
  const mistakes = isUnderWay ? 1 + (row % 2) : (row + place) % 3
  const wrong = Array.from(
    { length: mistakes },
    (_, i) => exercise.wrong[(row + i * 2 + place) % exercise.wrong.length],
  )
  const right = isUnderWay ? [] : [exercise.right[row % exercise.right.length]]
  return [...wrong, ...right].filter((program) => program !== undefined)
}

/** The student who can be signed in as: two exercises done, one that went wrong, the rest to be done. */
export function planStudent(course: CourseFiles, userName: string): PlannedHandIn[] {
  const [first, second, third] = course.exercises
  const plan: PlannedHandIn[] = []
  const add = (exercise: ExerciseFiles | undefined, program: ProgramFile | undefined, hoursAgo: number): void => {
    if (exercise !== undefined && program !== undefined)
      plan.push({ userName, exerciseId: exercise.id, program, hoursAgo, answers: new Map() })
  }
  add(first, first?.wrong[0], 30)
  add(first, first?.right[0], 29)
  add(second, second?.right[0], 6)
  add(third, third?.wrong[0], 1)
  return plan
}
