import { createHash } from 'node:crypto'
import type { FastifyInstance } from 'fastify'
import { withOwnNames, type Exercise } from '../../core/exercise/index.ts'
import { hashPassword } from '../accounts/passwords.ts'
import { makeJoinCode } from '../courses/join-code.ts'
import { readDocument } from '../exercises/document.ts'
import type { CourseRole } from '../contract/index.ts'
import { addPerson } from '../store/accounts.ts'
import { addMember, createCourse } from '../store/courses.ts'
import { createExercise, type ExerciseRow } from '../store/exercises.ts'
import { settingOnce } from '../store/settings.ts'
import { acceptSubmission } from '../store/submissions.ts'
import { seedFor } from '../submissions/seed.ts'
import { demoMark } from '../commands/demo-mark.ts'
import type { CourseFiles } from './course-files.ts'
import { classmates, signIns } from './people.ts'
import { planClass, planStudent, scheduleOf, type PlannedHandIn } from './plan.ts'

const hourMs = 3_600_000

export interface DemoClass {
  readonly courseId: string
  readonly assistantId: string
  /** Hands in what the class did so far; it lies in the queue like any hand-in. Gives the ids. */
  handIn(): Promise<readonly string[]>
}

type SeededExercise = ExerciseRow & { readonly document: Exercise }

/** Makes the course and its people. */
export async function seedDemo(
  app: FastifyInstance,
  files: CourseFiles,
  passwords: Readonly<Record<keyof typeof signIns, string>>,
  now: Date,
): Promise<DemoClass> {
  const { database } = app
  await settingOnce(database, demoMark, () => now.toISOString())
  const people = new Map<string, string>()
  async function add(person: { userName: string; displayName: string }, password: string | null): Promise<string> {
    // Classmates cannot sign in: no password has this hash.
    const passwordHash = password === null ? 'none' : await hashPassword(password, app.settings.passwordCost)
    const id = await addPerson(database, { ...person, passwordHash }, person.userName === signIns.instructor.userName)
    people.set(person.userName, id)
    return id
  }
  const instructorId = await add(signIns.instructor, passwords.instructor)
  const assistantId = await add(signIns.assistant, passwords.assistant)
  await add(signIns.student, passwords.student)
  for (const person of classmates) await add(person, null)

  const course = await createCourse(
    database,
    instructorId,
    { title: files.title, description: files.about.trim(), timeZone: Intl.DateTimeFormat().resolvedOptions().timeZone },
    makeJoinCode,
  )
  for (const [userName, id] of people) {
    const role: CourseRole = id === instructorId ? 'instructor' : id === assistantId ? 'assistant' : 'student'
    if (role !== 'instructor') await addMember(database, course.id, people.get(userName) ?? '', role)
  }

  const exercises = new Map<string, SeededExercise>()
  for (const [place, exercise] of files.exercises.entries()) {
    const { opens, due, closes } = scheduleOf(place, files.exercises.length)
    const at = (hours: number): Date => new Date(now.getTime() + hours * hourMs)
    const { exercise: document, revision } = readDocument(exercise.source)
    const created = await createExercise(database, instructorId, course.id, revision, {
      isPublished: true,
      opensAt: at(opens),
      dueAt: at(due),
      closesAt: at(closes),
      order: place + 1,
    })
    if (created === 'code-taken') throw new Error(`The demo course has two exercises ${revision.code}.`)
    exercises.set(exercise.id, { ...created, document })
  }

  const plan = [
    ...planClass(
      files,
      classmates.map(({ userName }) => userName),
    ),
    ...planStudent(files, signIns.student.userName),
  ].sort((a, b) => b.hoursAgo - a.hoursAgo)
  return {
    courseId: course.id,
    assistantId,
    handIn: async () => {
      const ids: string[] = []
      for (const planned of plan) ids.push(await handInPlanned(app, planned, exercises, people, now))
      return ids
    },
  }
}

async function handInPlanned(
  app: FastifyInstance,
  planned: PlannedHandIn,
  exercises: ReadonlyMap<string, SeededExercise>,
  people: ReadonlyMap<string, string>,
  now: Date,
): Promise<string> {
  const exercise = exercises.get(planned.exerciseId)
  const studentId = people.get(planned.userName)
  if (exercise === undefined || studentId === undefined) throw new Error('The plan names what is not there.')
  const receivedAt = new Date(now.getTime() - planned.hoursAgo * hourMs)
  const seed = await seedFor(app.database, exercise.id, studentId)
  // Whoever has values of their own writes them into their program, as a student would.
  const { format, text } = withOwnNames(planned.program, exercise.document, seed)
  const accepted = await acceptSubmission(
    app.database,
    {
      courseId: exercise.courseId,
      exerciseId: exercise.id,
      revisionNumber: exercise.revision,
      studentId,
      format,
      text,
      digest: createHash('sha256').update(text).digest('hex'),
      seed,
      receivedAt,
      isLate: exercise.dueAt !== null && receivedAt >= exercise.dueAt,
      answers: planned.answers,
    },
    null,
    null,
    (tx, submissionId) =>
      app.queue.grades.enqueue(tx, submissionId, { owner: { studentId, courseId: exercise.courseId } }),
  )
  if (!('submissionId' in accepted)) throw new Error(`A hand-in of the demo was refused: ${accepted.kind}.`)
  return accepted.submissionId
}
