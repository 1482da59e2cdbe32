import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyRequest } from 'fastify'
import { NewAccount, Nothing, Session, SignIn } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { tellNews } from '../store/news.ts'
import { identify } from '../scopes.ts'
import {
  countAccounts,
  createFirstAccount,
  createMemberAccount,
  findActor,
  findCredentials,
  hashOf,
  membershipsOf,
  noteSignIn,
} from '../store/accounts.ts'
import { readJoinCode } from '../courses/join-code.ts'
import { hashPassword, isRightPassword, requireGoodPassword } from './passwords.ts'

export const accountRoutes: FastifyPluginAsyncTypebox = async (app) => {
  const { limits, isDemo } = app.settings

  async function describe(userId: string | null): Promise<Session> {
    const user = userId === null ? null : await findActor(app.database, userId)
    return {
      user,
      memberships: user === null ? [] : await membershipsOf(app.database, user.id),
      now: new Date().toISOString(),
      isDemo,
      isSetUpNeeded: user === null && (await countAccounts(app.database)) === 0,
    }
  }

  // A new id at every change of rights, so that an id planted beforehand is worth nothing.
  async function signIn(request: FastifyRequest, userId: string): Promise<Session> {
    await request.session.regenerate()
    request.session.set('userId', userId)
    await noteSignIn(app.database, userId)
    return describe(userId)
  }

  app.get(
    '/api/session',
    { schema: { tags: ['session'], summary: 'Who is signed in', response: { 200: Session } } },
    async (request) => describe((await identify(request))?.id ?? null),
  )

  app.post(
    '/api/session',
    {
      schema: { tags: ['session'], summary: 'Sign in', body: SignIn, response: { 200: Session } },
      config: {
        rateLimit: {
          max: limits.signIns,
          timeWindow: '15 minutes',
          hook: 'preHandler',
          keyGenerator: (request) => `sign-in ${request.ip} ${(request.body as SignIn).userName.toLowerCase()}`,
        },
      },
    },
    async (request) => {
      const { userName, password } = request.body
      const found = await findCredentials(app.database, userName)
      const isRight = await isRightPassword(found?.passwordHash ?? null, password, app.settings.passwordCost)
      if (found === null || !isRight) throw new ApiError('wrong-sign-in')
      return signIn(request, found.id)
    },
  )

  app.delete(
    '/api/session',
    { schema: { tags: ['session'], summary: 'Sign out', response: { 204: Nothing } } },
    async (request, reply) => {
      if (request.session.userId !== undefined) {
        const sessionHash = hashOf(request.session.sessionId)
        await request.session.destroy()
        await tellNews(app.database.prisma, { kind: 'session-ended', sessionHash })
      }
      return reply.status(204).send(null)
    },
  )

  app.post(
    '/api/accounts',
    {
      schema: { tags: ['session'], summary: 'Create an account', body: NewAccount, response: { 201: Session } },
      config: {
        rateLimit: {
          max: limits.accounts,
          timeWindow: '1 hour',
          hook: 'preHandler',
          keyGenerator: (request) => `accounts ${request.ip}`,
        },
      },
    },
    async (request, reply) => {
      const { userName, displayName, password, joinCode, setUpToken } = request.body
      if ((joinCode === undefined) === (setUpToken === undefined))
        throw new ApiError('invalid-request', 'Found both or neither of joinCode and setUpToken, allowed exactly one.')
      requireGoodPassword(password, userName)
      const passwordHash = await hashPassword(password, app.settings.passwordCost)
      const account = { userName, displayName: displayName.trim() || userName, passwordHash }
      const result =
        joinCode === undefined
          ? await createFirstAccount(app.database, account, setUpToken ?? '', new Date())
          : await createMemberAccount(app.database, account, readJoinCode(joinCode))
      if (result.kind === 'code-unknown') throw new ApiError('join-code-unknown')
      if (result.kind === 'token-unknown') throw new ApiError('set-up-token-unknown')
      if (result.kind === 'name-taken') throw new ApiError('user-name-taken')
      reply.status(201)
      return signIn(request, result.userId)
    },
  )
}
