import { hash, verify } from '@node-rs/argon2'
import { ApiError } from '../errors.ts'

export interface PasswordCost {
  readonly memoryCost: number
  readonly timeCost: number
}

/** Argon2id, 19 MiB, two passes, one lane (OWASP Password Storage Cheat Sheet). */
export const usualCost: PasswordCost = { memoryCost: 19_456, timeCost: 2 }

export async function hashPassword(password: string, cost: PasswordCost = usualCost): Promise<string> {
  return hash(password, { ...cost, parallelism: 1 })
}

let decoy: Promise<string> | null = null

/** Takes the same time for a name that does not exist, so that names cannot be found out. */
export async function isRightPassword(stored: string | null, password: string, cost?: PasswordCost): Promise<boolean> {
  decoy ??= hashPassword('an account that does not exist', cost)
  const isRight = await verify(stored ?? (await decoy), password)
  return stored !== null && isRight
}

export function requireGoodPassword(password: string, userName: string): void {
  if (password.toLowerCase().includes(userName.toLowerCase()))
    throw new ApiError('password-too-simple', 'The password holds the user name.')
  if (new Set(password).size < 4)
    throw new ApiError('password-too-simple', 'The password repeats fewer than four different characters.')
}
