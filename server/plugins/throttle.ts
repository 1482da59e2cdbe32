import fp from 'fastify-plugin'
import { createHmac, randomBytes } from 'node:crypto'
import { deviceSeconds } from '../accounts/device-cookie.ts'
import { openSignInThrottle, type SignInThrottle } from '../accounts/sign-in-throttle.ts'
import type { Config } from '../config.ts'
import { tooMany } from '../errors.ts'
import { dropOldCounts, openCounter, type Count } from '../store/counters.ts'
import { dropOldDevices } from '../store/known-devices.ts'
import { settingOnce } from '../store/settings.ts'

/** So many in so many seconds, counted for all servers together. */
export interface Allowance {
  /** Counts one and throws `too-many-requests` where it is one too many. */
  take(key: string): Promise<void>
  /** Throws where `take` would, and counts nothing. */
  require(key: string): Promise<void>
}

export interface Throttle {
  readonly signIns: SignInThrottle
  /** By user. */
  readonly handIns: Allowance
  /** By user; wrong codes count. */
  readonly joins: Allowance
  /** By address. */
  readonly accounts: Allowance
}

declare module 'fastify' {
  interface FastifyInstance {
    readonly throttle: Throttle
  }
}

/** Wrong join codes of one user in a quarter of an hour. */
const wrongCodes = 20
const sweepMs = 600_000

/** Limits that hold over all servers, counted in the database. */
export const throttlePlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    const { limits } = config
    const digestKey = await settingOnce(app.database, 'throttle-key', () => randomBytes(32).toString('base64url'))
    // Neither names nor addresses stand in the table, nor anything that they can be tried against.
    const digest = (text: string): string => createHmac('sha256', digestKey).update(text).digest('hex').slice(0, 32)
    const allowance = (name: string, most: number, seconds: number, what: string): Allowance => {
      const counter = openCounter(app.database, { name, seconds })
      const refuse = ({ secondsLeft }: Count): never => {
        throw tooMany('too-many-requests', what, secondsLeft)
      }
      return {
        take: async (key) => {
          const taken = await counter.add(digest(key))
          if (taken.count > most) refuse(taken)
        },
        require: async (key) => {
          const taken = await counter.read(digest(key))
          if (taken.count >= most) refuse(taken)
        },
      }
    }
    app.decorate('throttle', {
      signIns: openSignInThrottle(app.database, limits, digest, (note) =>
        note.event === 'sign-in-failed' ? app.log.info(note, note.event) : app.log.warn(note, note.event),
      ),
      handIns: allowance('hand-ins', limits.handIns, 600, `At most ${limits.handIns} hand-ins in ten minutes.`),
      joins: allowance('joins', wrongCodes, 900, 'Too many join codes that no course has.'),
      accounts: allowance('accounts', limits.accounts, 3600, 'Too many new accounts from this network.'),
    })
    const sweep = setInterval(() => {
      const now = Date.now()
      const seenBefore = new Date(now - deviceSeconds * 1000)
      Promise.all([dropOldCounts(app.database, new Date(now)), dropOldDevices(app.database, seenBefore)]).catch(
        (error: unknown) => app.log.warn(error, 'old counts and devices were not removed'),
      )
    }, sweepMs)
    sweep.unref()
    app.addHook('onClose', async () => clearInterval(sweep))
  },
  { name: 'throttle', dependencies: ['database'] },
)
