import { readFileSync } from 'node:fs'

type Environment = Readonly<Record<string, string | undefined>>

/** Settings that are secret, or hold a password: each may stand in a file that `NAME_FILE` names. */
export const secretNames = ['DATABASE_URL', 'SESSION_SECRET'] as const

/**
 * The settings with the secrets read from their files, without the line end that editors put there. `fault` is told of a file
 * that cannot be read, and of a secret that is given twice.
 */
export function withSecretFiles(env: Environment, fault: (line: string) => void): Environment {
  const read: Record<string, string | undefined> = { ...env }
  for (const name of secretNames) {
    const file = env[`${name}_FILE`]
    if (file === undefined || file === '') continue
    if (env[name]) {
      fault(`${name}_FILE: found ${name} too, allowed one of the two.`)
      continue
    }
    try {
      read[name] = readFileSync(file, 'utf8').replace(/\r?\n$/, '')
      if (read[name] === '') fault(`${name}_FILE: found nothing in '${file}', allowed a file with the secret.`)
    } catch (error) {
      const { code } = error as NodeJS.ErrnoException
      fault(`${name}_FILE: found '${file}', which cannot be read (${code}), allowed a file with the secret.`)
    }
  }
  return read
}
