import cookie from '@fastify/cookie'
import session from '@fastify/session'
import fp from 'fastify-plugin'
import { randomBytes } from 'node:crypto'
import type { Config } from '../config.ts'
import { endSession, readSession, writeSession, type SessionTimes } from '../store/sessions.ts'
import { settingOnce } from '../store/settings.ts'

/** An hour without use, half a day in all. */
export const sessionTimes: SessionTimes = { idleSeconds: 3600, absoluteSeconds: 12 * 3600 }

export const sessionsPlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    const secret =
      config.sessionSecret ??
      (await settingOnce(app.database, 'session-secret', () => randomBytes(32).toString('base64url')))
    const isSecure = config.publicOrigin?.startsWith('https://') ?? false
    await app.register(cookie, { secret })
    await app.register(session, {
      secret,
      cookieName: isSecure ? '__Host-hexcairn' : 'hexcairn',
      // Without an age the browser drops the cookie when it is closed; the times above are kept by the database.
      cookie: { path: '/', httpOnly: true, sameSite: 'lax', secure: isSecure },
      rolling: false,
      saveUninitialized: false,
      idGenerator: () => randomBytes(24).toString('base64url'),
      store: {
        get: (id, done) => {
          readSession(app.database, id, sessionTimes, new Date()).then(
            (found) => done(null, found as never),
            (error: unknown) => done(error),
          )
        },
        set: (id, data, done) => {
          writeSession(app.database, id, { ...data }).then(
            () => done(),
            (error: unknown) => done(error),
          )
        },
        destroy: (id, done) => {
          endSession(app.database, id).then(
            () => done(),
            (error: unknown) => done(error),
          )
        },
      },
    })
  },
  { name: 'sessions', dependencies: ['database'] },
)
