import type {
  CourseRole,
  NewAccount,
  NewPassword,
  PasswordChange,
  Session,
  SignIn,
} from '../../server/contract/index.ts'
import type { Api } from './api.ts'
import type { Clock } from './Clock.svelte.ts'
import { Resource } from './Resource.svelte.ts'

/** Who is signed in, and what they are in each course. */
export class SessionState {
  readonly #api: Api
  readonly #clock: Clock
  readonly #session: Resource<Session>

  constructor(api: Api, clock: Clock) {
    this.#api = api
    this.#clock = clock
    this.#session = new Resource(async () => this.#noted(await api.call('GET /api/session')))
  }

  get resource(): Resource<Session> {
    return this.#session
  }

  get user(): Session['user'] {
    return this.#session.value?.user ?? null
  }

  get isDemo(): boolean {
    return this.#session.value?.isDemo ?? false
  }

  get isSetUpNeeded(): boolean {
    return this.#session.value?.isSetUpNeeded ?? false
  }

  roleIn(courseId: string): CourseRole | null {
    return this.#session.value?.memberships.find((membership) => membership.courseId === courseId)?.role ?? null
  }

  isStaffIn(courseId: string): boolean {
    const role = this.roleIn(courseId)
    return role === 'instructor' || role === 'assistant'
  }

  courseTitle(courseId: string): string | null {
    return this.#session.value?.memberships.find((membership) => membership.courseId === courseId)?.courseTitle ?? null
  }

  async load(): Promise<void> {
    await this.#session.load()
  }

  async signIn(body: SignIn): Promise<void> {
    this.#session.put(this.#noted(await this.#api.call('POST /api/session', { body })))
  }

  async openAccount(body: NewAccount): Promise<void> {
    this.#session.put(this.#noted(await this.#api.call('POST /api/accounts', { body })))
  }

  async changePassword(body: PasswordChange): Promise<void> {
    this.#session.put(this.#noted(await this.#api.call('PUT /api/session/password', { body })))
  }

  async setPasswordByLink(body: NewPassword): Promise<void> {
    this.#session.put(this.#noted(await this.#api.call('POST /api/password-links/used', { body })))
  }

  async signOut(): Promise<void> {
    await this.#api.call('DELETE /api/session')
    await this.#session.load()
  }

  #noted(session: Session): Session {
    this.#clock.set(session.now)
    return session
  }
}
