import type { FastifyReply, FastifyRequest } from 'fastify'
import type { Session } from '../contract/index.ts'
import { countAccounts, findActor, membershipsOf, noteSignIn } from '../store/accounts.ts'
import { forgetDevice, isKnownDevice, noteDevice } from '../store/known-devices.ts'
import { deviceOf, giveDevice } from './device-cookie.ts'
import { isRightPassword } from './passwords.ts'

/** Who is signed in, as every page asks first. */
export async function describeSession({ server: app }: FastifyRequest, userId: string | null): Promise<Session> {
  const user = userId === null ? null : await findActor(app.database, userId)
  return {
    user,
    memberships: user === null ? [] : await membershipsOf(app.database, user.id),
    now: new Date().toISOString(),
    isDemo: app.settings.isDemo,
    isSetUpNeeded: user === null && (await countAccounts(app.database)) === 0,
  }
}

/** A new id at every change of rights, so that an id planted beforehand is worth nothing. */
export async function signIn(request: FastifyRequest, reply: FastifyReply, userId: string): Promise<Session> {
  const { database } = request.server
  await request.session.regenerate()
  request.session.set('userId', userId)
  await noteDevice(database, userId, giveDevice(request, reply))
  await noteSignIn(database, userId)
  return describeSession(request, userId)
}

/**
 * Whether a password is right, with failures counted as `SignInThrottle` says. `found` is null for a name that nobody has.
 * Throws `too-many-failures` where the attempt has to wait.
 */
export async function isPasswordGiven(
  request: FastifyRequest,
  userName: string,
  found: { readonly id: string; readonly passwordHash: string } | null,
  password: string,
): Promise<boolean> {
  const app = request.server
  const { signIns } = app.throttle
  const device = deviceOf(request)
  const isKnown = device !== null && (await isKnownDevice(app.database, found?.id ?? null, device))
  const attempt = { userName, address: request.ip, knownDevice: isKnown ? device : null }
  const failures = await signIns.require(attempt)
  const isRight = await isRightPassword(found?.passwordHash ?? null, password, app.settings.passwordCost)
  if (found === null || !isRight) {
    const isForgotten = await signIns.failed(attempt)
    if (isForgotten && found !== null && device !== null) await forgetDevice(app.database, found.id, device)
    return false
  }
  await signIns.require(attempt, failures)
  await signIns.succeeded(attempt)
  return true
}
