import fp from 'fastify-plugin'
import { createHmac, randomBytes } from 'node:crypto'
import { openSignInThrottle, type SignInNote, type SignInThrottle } from '../accounts/sign-in-throttle.ts'
import type { Config } from '../config.ts'
import { tooMany } from '../errors.ts'
import { openCounter, type Count } from '../store/counters.ts'
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
const outcomes = {
  'sign-in-failed': 'failed',
  'sign-in-refused': 'refused',
  'names-tried-from-one-address': 'noticed',
} as const satisfies Record<SignInNote['event'], string>

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
      signIns: openSignInThrottle(app.database, limits, digest, (note) => {
        app.metrics.signIns.inc({ outcome: outcomes[note.event] })
        app.log[note.event === 'sign-in-failed' ? 'info' : 'warn'](note, note.event)
      }),
      handIns: allowance('hand-ins', limits.handIns, 600, `At most ${limits.handIns} hand-ins in ten minutes.`),
      joins: allowance('joins', wrongCodes, 900, 'Too many join codes that no course has.'),
      accounts: allowance('accounts', limits.accounts, 3600, 'Too many new accounts from this network.'),
    })
  },
  { name: 'throttle', dependencies: ['database', 'operations'] },
)
