import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { readConfig, type Config } from '../config.ts'
import type { Database } from '../store/database.ts'
import { openEmbedded } from '../store/embedded.ts'
import { openHosted } from '../store/hosted.ts'
import { CommandProblem } from './output.ts'

export type Place = Config['database']

/** Where the settings and `--data` say that the database is. */
export function placeOf(data: string | undefined): Place {
  return readConfig(process.env, data === undefined ? {} : { data }).database
}

/** Throws where a folder holds no database: opening would make one. */
export function requireThere(place: Place): void {
  if (place.kind === 'embedded' && place.folder !== null && !existsSync(join(place.folder, 'PG_VERSION')))
    throw new CommandProblem(
      'no-database',
      `Found no database in ${place.folder}, allowed the folder of a server, or DATABASE_URL.`,
    )
}

/** Opens a database that is there, as it is. */
export async function openExisting(place: Place): Promise<Database> {
  requireThere(place)
  return openPlace(place)
}

/** Opens a database, or makes an empty one in a folder, without bringing its tables up to date. */
export async function openPlace(place: Place): Promise<Database> {
  return place.kind === 'embedded' ? openEmbedded({ folder: place.folder }) : openHosted(place)
}

/** A place in words, without a password. */
export function placeName(place: Place): string {
  if (place.kind === 'embedded') return `the folder ${place.folder}`
  const url = new URL(place.connectionString)
  return `the database ${decodeURIComponent(url.pathname.slice(1))} at ${url.host || 'localhost'}`
}
