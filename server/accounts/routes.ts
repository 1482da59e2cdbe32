import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { readJoinCode } from '../courses/join-code.ts'
import { NewAccount, Nothing, Session, SignIn } from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { identify } from '../scopes.ts'
import { createFirstAccount, createMemberAccount, findCredentials, hashOf } from '../store/accounts.ts'
import { tellNews } from '../store/news.ts'
import { hashPassword, requireGoodPassword } from './passwords.ts'
import { describeSession, isPasswordGiven, signIn } from './sign-in.ts'
import { subscriberOf } from './sign-in-throttle.ts'

export const accountRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/session',
    { schema: { tags: ['session'], summary: 'Who is signed in', response: { 200: Session } } },
    async (request) => describeSession(request, (await identify(request))?.id ?? null),
  )

  app.post(
    '/api/session',
    {
      schema: { tags: ['session'], summary: 'Sign in', body: SignIn, response: { 200: Session } },
    },
    async (request, reply) => {
      const { userName, password } = request.body
      const found = await findCredentials(app.database, userName)
      const isRight = await isPasswordGiven(request, userName, found, password)
      if (found === null || !isRight) throw new ApiError('wrong-sign-in')
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
