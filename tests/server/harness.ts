import type { FastifyInstance, InjectOptions, LightMyRequestResponse, RouteOptions } from 'fastify'
import { hashPassword, type PasswordCost } from '../../server/accounts/passwords.ts'
import { vi } from 'vitest'
import { buildApp } from '../../server/app.ts'
import { defaultLimits, readConfig, type Config, type Limits } from '../../server/config.ts'
import type { CourseRole, Report } from '../../server/contract/index.ts'
import { readerInThread, type DocumentReader } from '../../server/exercises/document-reader.ts'
import type { GraderPool } from '../../server/grader/pool.ts'
import type { DiagnoseResult } from '../../server/grader/task.ts'
import work from '../../server/grader/worker.ts'
import type { Database } from '../../server/store/database.ts'
import { openEmbedded } from '../../server/store/embedded.ts'
import { emptyTemplate } from '../../server/store/template.ts'

// A database is made in seconds on a machine of its own, and in minutes on one that ten others share.
vi.setConfig({ hookTimeout: 300_000, testTimeout: 150_000 })

/** Enough for a test, and a hundredth of the usual time. */
export const cheapCost: PasswordCost = { memoryCost: 8, timeCost: 1 }
export const password = 'a word for 4 tests'

/** In memory, or in a folder that is made. */
export async function freshDatabase(folder: string | null = null): Promise<Database> {
  return openEmbedded({ folder, template: emptyTemplate })
}

export interface HouseOptions {
  readonly limits?: Partial<Limits>
  /** The threads that grade; without them nothing is graded. */
  readonly pool?: GraderPool
  /** Reads exercises in this thread unless a test is about that. */
  readonly reader?: DocumentReader
  readonly database?: Database
  readonly config?: Partial<Config>
  readonly onRoute?: (route: RouteOptions) => void
}

/** A grader without threads, for tests of what lies around it. It finds no causes unless it is told how. */
export function poolOf(
  grade: GraderPool['grade'],
  size = 1,
  diagnose: GraderPool['diagnose'] = async () => ({ causes: [], hint: null, repair: null, counterexample: null }),
): GraderPool {
  return { size, grade, diagnose, warm: async () => {}, close: async () => {} }
}

/** Works in this thread, with the very function that the grader threads run. */
export const inThread: GraderPool = poolOf(
  async (inputs) => (await work({ ...inputs, kind: 'grade', port: null })) as Report,
  1,
  async (inputs, aside) => (await work({ ...inputs, kind: 'diagnose', aside, port: null })) as DiagnoseResult,
)

/** A small report, as core would give it. */
export function reportOf(score: number, more: Partial<Report> = {}): Report {
  return {
    format: 'hexcairn-report/1',
    engine: 'test',
    exercise: { id: 'sum', title: 'A sum', digest: '0'.repeat(64) },
    seed: 0,
    program: { format: 'hex', bytes: 1, digest: '0'.repeat(64) },
    status: 'graded',
    problems: [],
    score,
    isFullMarks: score === 100,
    cases: [],
    groups: [],
    checks: [],
    firstWrong: null,
    ...more,
  }
}

/** One person with a browser: keeps the cookies. */
export class Visitor {
  readonly #app: FastifyInstance
  readonly #cookies = new Map<string, string>()
  id = ''

  constructor(app: FastifyInstance) {
    this.#app = app
  }

  get headers(): Record<string, string> {
    const pairs = [...this.#cookies].map(([name, value]) => `${name}=${value}`)
    return pairs.length === 0 ? {} : { cookie: pairs.join('; ') }
  }

  async request(
    method: string,
    url: string,
    body?: unknown,
    headers: Record<string, string> = {},
  ): Promise<LightMyRequestResponse> {
    const response = await this.#app.inject({
      method: method as NonNullable<InjectOptions['method']>,
      url,
      headers: { ...this.headers, ...headers },
      ...(body === undefined ? {} : { payload: body as object }),
    })
    // The session's first, whichever the server sets first.
    for (const { name, value } of response.cookies.toSorted((a, b) => a.name.length - b.name.length))
      this.#cookies.set(name, value)
    return response
  }

  get(url: string, headers?: Record<string, string>) {
    return this.request('GET', url, undefined, headers)
  }

  post(url: string, body?: unknown, headers?: Record<string, string>) {
    return this.request('POST', url, body, headers)
  }

  /** The body of an answer that has to be a success. */
  async take<T>(method: string, url: string, body?: unknown, headers?: Record<string, string>): Promise<T> {
    const response = await this.request(method, url, body, headers)
    if (response.statusCode >= 300) throw new Error(`${method} ${url}: ${response.statusCode} ${response.body}`)
    return response.json<T>()
  }

  async signIn(userName: string): Promise<this> {
    await this.take('POST', '/api/session', { userName, password })
    return this
  }
}

export interface House {
  readonly app: FastifyInstance
  readonly database: Database
  visitor(): Visitor
  /** A new account, signed in. */
  person(userName: string, options?: { mayCreateCourses?: boolean; displayName?: string }): Promise<Visitor>
  /** Makes somebody a member. */
  enrol(visitor: Visitor, courseId: string, role: CourseRole): Promise<void>
  close(): Promise<void>
}

export function testConfig(options: HouseOptions = {}): Config {
  return {
    ...readConfig({}, {}),
    database: { kind: 'embedded', folder: null },
    logLevel: 'silent',
    role: options.pool === undefined ? 'web' : 'all',
    ...options.config,
    limits: { ...defaultLimits, requests: 100_000, handIns: 100_000, ...options.limits },
  }
}

/** The real server on a database of its own. */
export async function openHouse(options: HouseOptions = {}): Promise<House> {
  const database = options.database ?? (await freshDatabase())
  const app = await buildApp({
    config: testConfig(options),
    database,
    passwordCost: cheapCost,
    reader: options.reader ?? readerInThread,
    ...(options.pool === undefined ? {} : { pool: options.pool }),
    ...(options.onRoute === undefined ? {} : { onRoute: options.onRoute }),
  })
  const passwordHash = await hashPassword(password, cheapCost)
  return {
    app,
    database,
    visitor: () => new Visitor(app),
    person: async (userName, { mayCreateCourses = false, displayName = userName } = {}) => {
      const { id } = await database.prisma.user.create({
        data: { userName, userNameKey: userName.toLowerCase(), displayName, passwordHash, mayCreateCourses },
      })
      const visitor = await new Visitor(app).signIn(userName)
      visitor.id = id
      return visitor
    },
    enrol: async (visitor, courseId, role) => {
      await database.prisma.membership.upsert({
        where: { courseId_userId: { courseId, userId: visitor.id } },
        create: { courseId, userId: visitor.id, role },
        update: { role },
      })
    },
    close: async () => {
      await app.close()
      if (options.database === undefined) await database.close()
    },
  }
}

/** A promise and the function that fulfils it. */
export function deferred(): { readonly promise: Promise<void>; readonly resolve: () => void } {
  let resolve = (): void => {}
  const promise = new Promise<void>((fulfil) => {
    resolve = fulfil
  })
  return { promise, resolve }
}
