import { setTimeout as pause } from 'node:timers/promises'
import { WebSocket } from 'ws'
import { hashPassword } from '../../server/accounts/passwords.ts'
import type { Course, Exercise, ServerMessage, Submission } from '../../server/contract/index.ts'
import type { Database } from '../../server/store/database.ts'

const password = 'a word for the load 4'

/** One person with a browser, as far as a server can tell. */
export class Person {
  readonly name: string
  readonly #origin: string
  #cookie = ''
  #live: WebSocket | null = null

  constructor(origin: string, name: string) {
    this.#origin = origin
    this.name = name
  }

  async request(method: string, path: string, body?: unknown): Promise<Response> {
    const response = await fetch(this.#origin + path, {
      method,
      headers: { cookie: this.#cookie, ...(body === undefined ? {} : { 'content-type': 'application/json' }) },
      ...(body === undefined ? {} : { body: JSON.stringify(body) }),
      signal: AbortSignal.timeout(30_000),
    })
    const given = response.headers.getSetCookie().map((each) => each.split(';', 1)[0] ?? '')
    if (given.length > 0) this.#cookie = given.join('; ')
    return response
  }

  async take<T>(method: string, path: string, body?: unknown): Promise<T> {
    const response = await this.request(method, path, body)
    if (!response.ok) throw new Error(`${method} ${path}: ${response.status} ${await response.text()}`)
    return (await response.json()) as T
  }

  async signIn(): Promise<this> {
    await this.take('POST', '/api/session', { userName: this.name, password })
    return this
  }

  /** Opens a live view of a course. */
  async watch(courseId: string, hear: (message: ServerMessage) => void): Promise<void> {
    const live = new WebSocket(`${this.#origin.replace(/^http/, 'ws')}/api/live`, { headers: { cookie: this.#cookie } })
    this.#live = live
    live.on('error', () => {})
    live.on('message', (data: Buffer) => hear(JSON.parse(data.toString('utf8')) as ServerMessage))
    await new Promise<void>((resolve, reject) => {
      live.once('open', () => resolve())
      live.once('close', () => reject(new Error(`${this.name} has no live view`)))
    })
    live.send(JSON.stringify({ kind: 'watch', courseId }))
  }

  close(): void {
    this.#live?.terminate()
  }
}

export interface School {
  readonly course: Course
  readonly exercise: Exercise
  readonly instructor: Person
  readonly students: readonly Person[]
}

/** A course with one open exercise; everybody has an account and is signed in. */
export async function openSchool(database: Database, origin: string, count: number, source: string): Promise<School> {
  const passwordHash = await hashPassword(password, { memoryCost: 8, timeCost: 1 })
  const names = ['teacher', ...Array.from({ length: count }, (_, i) => `student${i + 1}`)]
  await database.prisma.user.createMany({
    data: names.map((name, i) => ({
      userName: name,
      userNameKey: name,
      displayName: name,
      passwordHash,
      mayCreateCourses: i === 0,
    })),
  })
  const people: Person[] = []
  for (const name of names) people.push(await new Person(origin, name).signIn())
  const [instructor, ...students] = people
  if (instructor === undefined) throw new Error('nobody teaches')
  const course = await instructor.take<Course>('POST', '/api/courses', { title: 'Depot', timeZone: 'UTC' })
  const ids = await database.prisma.user.findMany({ where: { userName: { not: 'teacher' } }, select: { id: true } })
  await database.prisma.membership.createMany({
    data: ids.map(({ id }) => ({ courseId: course.id, userId: id, role: 'student' as const })),
  })
  const path = `/api/courses/${course.id}/exercises`
  const exercise = await instructor.take<Exercise>('POST', path, { source, isPublished: true })
  return { course, exercise, instructor, students }
}

/** How one try to hand in went. */
export type HandInOutcome =
  | { readonly kind: 'accepted'; readonly id: string; readonly ms: number }
  | { readonly kind: 'refused'; readonly status: number }
  | { readonly kind: 'cut' }

export async function handIn(student: Person, exerciseId: string, program: object): Promise<HandInOutcome> {
  const from = performance.now()
  try {
    const response = await student.request('POST', `/api/exercises/${exerciseId}/submissions`, program)
    const body = (await response.json()) as Submission
    return response.ok
      ? { kind: 'accepted', id: body.id, ms: performance.now() - from }
      : { kind: 'refused', status: response.status }
  } catch {
    return { kind: 'cut' }
  }
}

/** Calls `one` so many times a second until it is over, whether or not the ones before are done; then waits for all. */
export async function atRate(
  perSecond: number,
  isOver: (seconds: number) => boolean,
  one: (i: number) => Promise<void>,
): Promise<void> {
  const all: Promise<void>[] = []
  const from = performance.now()
  for (let i = 0; !isOver(i / perSecond); i += 1) {
    const wait = from + (i * 1000) / perSecond - performance.now()
    if (wait > 0) await pause(wait)
    all.push(one(i))
  }
  await Promise.all(all)
}

/** Waits until something is so, and gives the seconds that it took; null where it is not so in time. */
export async function until(isSo: () => Promise<boolean>, mostSeconds: number): Promise<number | null> {
  const from = performance.now()
  for (;;) {
    if (await isSo().catch(() => false)) return (performance.now() - from) / 1000
    if (performance.now() - from > mostSeconds * 1000) return null
    await pause(200)
  }
}
