import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import type { FastifyReply, FastifyRequest } from 'fastify'
import { NewAccount, Nothing, Session, SignIn } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { forgetDevice, isKnownDevice, noteDevice } from '../store/known-devices.ts'
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
import { deviceOf, giveDevice } from './device-cookie.ts'
import { hashPassword, isRightPassword, requireGoodPassword } from './passwords.ts'
import { subscriberOf } from './sign-in-throttle.ts'

export const accountRoutes: FastifyPluginAsyncTypebox = async (app) => {
  const { isDemo } = app.settings

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
  async function signIn(request: FastifyRequest, reply: FastifyReply, userId: string): Promise<Session> {
    await request.session.regenerate()
    request.session.set('userId', userId)
    await noteDevice(app.database, userId, giveDevice(request, reply))
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
    },
    async (request, reply) => {
      const { userName, password } = request.body
      const found = await findCredentials(app.database, userName)
      const device = deviceOf(request)
      const isKnown = device !== null && (await isKnownDevice(app.database, found?.id ?? null, device))
      const attempt = { userName, address: request.ip, knownDevice: isKnown ? device : null }
      const { signIns } = app.throttle
      const failures = await signIns.require(attempt)
      const isRight = await isRightPassword(found?.passwordHash ?? null, password, app.settings.passwordCost)
      if (found === null || !isRight) {
        const isForgotten = await signIns.failed(attempt)
        if (isForgotten && found !== null && device !== null) await forgetDevice(app.database, found.id, device)
        throw new ApiError('wrong-sign-in')
      }
      await signIns.require(attempt, failures)
      await signIns.succeeded(attempt)
      app.metrics.signIns.inc({ outcome: 'succeeded' })
      return signIn(request, reply, found.id)
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
    },
    async (request, reply) => {
      await app.throttle.accounts.take(subscriberOf(request.ip))
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
      return signIn(request, reply, result.userId)
    },
  )
}
