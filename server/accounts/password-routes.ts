import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import {
  MemberParams,
  NewPassword,
  PasswordChange,
  PasswordLink,
  PasswordLinkOwner,
  PasswordLinkToken,
  Session,
} from '../contract/index.ts'
import { ApiError } from '../errors.ts'
import { actorOf } from '../scopes.ts'
import {
  changePassword,
  findPasswordLink,
  mayMakeLinkFor,
  passwordHashOf,
  usePasswordLink,
} from '../store/passwords.ts'
import { makePasswordLink } from './password-links.ts'
import { hashPassword, requireGoodPassword } from './passwords.ts'
import { describeSession, isPasswordGiven, signIn } from './sign-in.ts'

/** Whoever has a link needs no sign-in. */
export const passwordLinkRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.post(
    '/api/password-links',
    {
      schema: {
        tags: ['session'],
        summary: 'Whose password a link sets',
        body: PasswordLinkToken,
        response: { 200: PasswordLinkOwner },
      },
    },
    async (request) => {
      const link = await findPasswordLink(app.database, request.body.token, new Date())
      if (link === null) throw new ApiError('password-link-unknown')
      return { ...link.user, expiresAt: link.expiresAt.toISOString() }
    },
  )

  app.post(
    '/api/password-links/used',
    {
      schema: {
        tags: ['session'],
        summary: 'Set a new password by a link, and sign in',
        body: NewPassword,
        response: { 200: Session },
      },
    },
    async (request, reply) => {
      const { token, password } = request.body
      const link = await findPasswordLink(app.database, token, new Date())
      if (link === null) throw new ApiError('password-link-unknown')
      requireGoodPassword(password, link.user.userName)
      const hash = await hashPassword(password, app.settings.passwordCost)
      const userId = await usePasswordLink(app.database, token, hash, new Date())
      if (userId === null) throw new ApiError('password-link-unknown')
      // Wrong tries of the forgotten one do not hold up whoever has a new one.
      await app.throttle.signIns.succeeded({ userName: link.user.userName, address: request.ip, knownDevice: null })
      return signIn(request, reply, userId)
    },
  )
}

export const ownPasswordRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.put(
    '/api/session/password',
    {
      schema: {
        tags: ['session'],
        summary: 'Change my password; all my other sessions end',
        body: PasswordChange,
        response: { 200: Session },
      },
      config: { deed: 'change-own-password' },
    },
    async (request) => {
      const { id, userName } = actorOf(request)
      const { current, password } = request.body
      const found = { id, passwordHash: await passwordHashOf(app.database, id) }
      if (!(await isPasswordGiven(request, userName, found, current))) throw new ApiError('wrong-password')
      requireGoodPassword(password, userName)
      const hash = await hashPassword(password, app.settings.passwordCost)
      await changePassword(app.database, id, hash, request.session.sessionId)
      return describeSession(request, id)
    },
  )
}

export const passwordLinkStaffRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.post(
    '/api/courses/:courseId/members/:userId/password-link',
    {
      schema: {
        tags: ['courses'],
        summary: 'Make a link by which a member sets a new password',
        params: MemberParams,
        response: { 201: PasswordLink },
      },
      config: { deed: 'make-password-link' },
    },
    async (request, reply) => {
      const { courseId, userId } = request.params
      const { id } = actorOf(request)
      const verdict = await mayMakeLinkFor(app.database, id, courseId, userId)
      if (verdict === 'no-member') throw new ApiError('not-found')
      if (verdict === 'not-theirs') throw new ApiError('password-not-yours')
      const { token, expiresAt } = await makePasswordLink(app.database, userId, { actorId: id, courseId })
      reply.status(201)
      return { token, expiresAt: expiresAt.toISOString() }
    },
  )
}
