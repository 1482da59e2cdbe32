import ipaddr from 'ipaddr.js'
import { tooMany } from '../errors.ts'
import { openCounter, type Counter } from '../store/counters.ts'
import type { Database } from '../store/database.ts'

export interface SignInLimits {
  /** Wrong passwords for one name before it has to wait. */
  readonly passwordFailures: number
  /** Wrong sign-ins from one address in `windowSeconds`; a whole class may sit behind one. */
  readonly addressFailures: number
}

/** An attempt to sign in, before it is known whether it succeeds. */
export interface Attempt {
  readonly userName: string
  readonly address: string
  /** Id of the browser, where this very person has signed in with it before. */
  readonly knownDevice: string | null
}

/** Something worth a line in the log. Names and addresses stand in it as digests only. */
export type SignInNote =
  | { readonly event: 'sign-in-failed'; readonly name: string; readonly address: string; readonly count: number }
  | {
      readonly event: 'sign-in-refused'
      readonly name: string
      readonly address: string
      readonly by: 'name' | 'address'
    }
  | { readonly event: 'names-tried-from-one-address'; readonly address: string; readonly names: number }

export interface SignInThrottle {
  /**
   * Throws `too-many-failures` where this attempt has to wait; gives the failures of its name. Asked before the password is
   * looked at and, with what it gave then, once more after it: of many tries at one moment those that failed are counted by
   * then, so trying at once gains nothing.
   */
  require(attempt: Attempt, failuresBefore?: number): Promise<number>
  /** Counts a wrong password; true where the device was so often wrong that it is known no longer. */
  failed(attempt: Attempt): Promise<boolean>
  succeeded(attempt: Attempt): Promise<void>
}

/** A name's failures are forgotten a day after the first of them, or with the next right password. */
const daySeconds = 86_400
/** Failures of an address are forgotten after a quarter of an hour. */
const windowSeconds = 900
/** First pause of a name; each further failure doubles it. */
const firstPause = 30
const longestPause = 900
/** So many names that failed from one address look like somebody who tries names; each further one then costs fivefold. */
const namesNoticed = 60
const costOnceNoticed = 5
/** Wrong passwords a day from a device before it is known no longer. */
const deviceFailures = 50

/**
 * Wrong passwords make a name wait, and an address from which far more come than a class mistypes. With pauses that double
 * up to a quarter of an hour a name gets about a hundred tries a day (NIST SP 800-63B-4, 3.2.2, allows at most a hundred
 * in a row). Right passwords cost nothing, and from a browser known to this person nothing that others did counts.
 */
export function openSignInThrottle(
  database: Database,
  limits: SignInLimits,
  digest: (text: string) => string,
  note: (note: SignInNote) => void,
): SignInThrottle {
  const counter = (name: string, seconds: number): Counter =>
    openCounter(database, { name: `sign-in-${name}`, seconds })
  const byName = counter('name', daySeconds)
  const pauses = counter('pause', longestPause)
  const byDevice = counter('device', daySeconds)
  const byAddress = counter('address', windowSeconds)
  const pairs = counter('pair', windowSeconds)
  const names = counter('names', windowSeconds)
  const keysOf = ({ userName, address }: Attempt) => ({
    name: digest(`name ${userName.toLowerCase()}`),
    address: digest(`address ${subscriberOf(address)}`),
  })
  const deviceKey = (attempt: Attempt): string =>
    digest(`device ${attempt.userName.toLowerCase()} ${attempt.knownDevice}`)

  async function countForAddress(key: { name: string; address: string }): Promise<void> {
    const isNewName = (await pairs.add(digest(`${key.name} ${key.address}`))).count === 1
    const tried = isNewName ? (await names.add(key.address)).count : 0
    await byAddress.add(key.address, tried > namesNoticed ? costOnceNoticed : 1)
    // Once, and again whenever it has doubled.
    if (tried >= namesNoticed && Number.isInteger(Math.log2(tried / namesNoticed)))
      note({ event: 'names-tried-from-one-address', address: shortOf(key.address), names: tried })
  }

  return {
    require: async (attempt, failuresBefore) => {
      if (attempt.knownDevice !== null) return 0
      const key = keysOf(attempt)
      const [{ count }, pause, address] = await Promise.all([
        byName.read(key.name),
        pauses.read(key.name),
        byAddress.read(key.address),
      ])
      const isNew = failuresBefore !== undefined && count > failuresBefore
      const seconds = isNew ? pauseAfter(count, limits.passwordFailures) : pause.secondsLeft
      if (seconds === 0 && address.count < limits.addressFailures) return count
      const by = seconds > 0 ? 'name' : 'address'
      note({ event: 'sign-in-refused', name: shortOf(key.name), address: shortOf(key.address), by })
      throw by === 'name'
        ? tooMany('too-many-failures', 'Too many wrong passwords for this user name.', seconds)
        : tooMany('too-many-failures', 'Too many wrong sign-ins from this network.', address.secondsLeft)
    },
    failed: async (attempt) => {
      const key = keysOf(attempt)
      const about = { event: 'sign-in-failed', name: shortOf(key.name), address: shortOf(key.address) } as const
      if (attempt.knownDevice !== null) {
        const { count } = await byDevice.add(deviceKey(attempt))
        note({ ...about, count })
        return count >= deviceFailures
      }
      const { count } = await byName.add(key.name)
      const seconds = pauseAfter(count, limits.passwordFailures)
      if (seconds > 0) await pauses.hold(key.name, seconds)
      await countForAddress(key)
      note({ ...about, count })
      return false
    },
    succeeded: async (attempt) => {
      // What others tried from elsewhere stays counted when its owner comes in by a device of their own.
      if (attempt.knownDevice !== null) return byDevice.clear(deviceKey(attempt))
      await byName.clear(keysOf(attempt).name)
    },
  }
}

/** Seconds that a name waits after its nth failure. */
export function pauseAfter(failures: number, free: number): number {
  return failures < free ? 0 : Math.min(longestPause, firstPause * 2 ** (failures - free))
}

/** Enough to find lines about the same name or address, too little to try names against. */
function shortOf(digest: string): string {
  return digest.slice(0, 12)
}

/** What belongs to one subscriber: an IPv4 address, or the /64 of an IPv6 one, which a single machine may have whole. */
export function subscriberOf(address: string): string {
  if (!ipaddr.isValid(address)) return address
  const parsed = ipaddr.process(address)
  return parsed.kind() === 'ipv4' ? parsed.toString() : `${parsed.toByteArray().slice(0, 8).join('.')}/64`
}
