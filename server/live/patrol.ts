import { closeCodes } from '../contract/index.ts'
import { sessionTimes } from '../plugins/sessions.ts'
import { rolesOf } from '../store/courses.ts'
import type { Database } from '../store/database.ts'
import { sessionsAlive } from '../store/sessions.ts'
import type { Connection } from './connection.ts'

/**
 * Ends connections whose session has ended, by whatever way (time, another password, an account that was closed), and those
 * that watch a course of which their user is no member any more; takes over changed roles. Two queries for all of them.
 */
export async function patrol(database: Database, connections: readonly Connection[], now: Date): Promise<void> {
  if (connections.length === 0) return
  const distinct = (values: readonly string[]): string[] => [...new Set(values)]
  const hashes = distinct(connections.map(({ sessionHash }) => sessionHash))
  const alive = await sessionsAlive(database, hashes, sessionTimes, now)
  for (const each of connections) if (!alive.has(each.sessionHash)) each.close(closeCodes.signedOut, 'signed out')
  const watching = connections.filter((each) => alive.has(each.sessionHash) && each.roles.size > 0)
  if (watching.length === 0) return
  const rows = await rolesOf(database, distinct(watching.map(({ userId }) => userId)))
  const roles = new Map(rows.map(({ userId, courseId, role }) => [`${userId} ${courseId}`, role]))
  for (const each of watching)
    for (const [courseId, known] of each.roles)
      if (roles.get(`${each.userId} ${courseId}`) !== known) await each.recheck(courseId)
}
