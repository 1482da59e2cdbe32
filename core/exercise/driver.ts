import { readProgram } from '../assembler/index.ts'
import type { BoardProfile } from '../board/index.ts'
import type { Addr } from '../cpu/index.ts'
import type { Image } from '../image/index.ts'
import type { Given } from './case.ts'

/** The instructor's program that calls the student's; a mistake in it is a mistake of the exercise and throws. */
export function driverImage(
  given: Pick<Given, 'driver'>,
  profile: BoardProfile,
  constants: Readonly<Record<string, number>>,
): { readonly image: Image; readonly entry: Addr } | null {
  if (given.driver === null) return null
  const routines = profile.firmware.routines.map(({ name, address }) => [name, address] as const)
  const options = { origin: given.driver.origin, symbols: { ...Object.fromEntries(routines), ...constants } }
  const driver = readProgram({ format: 'assembly', text: given.driver.assembly }, options)
  if (!driver.isOk) throw new Error(`the driver does not assemble: ${driver.problems[0]?.message ?? ''}`)
  return { image: driver.image, entry: given.driver.origin }
}
