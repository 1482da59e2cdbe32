import { ownFields, type Check } from './check-schema.ts'
import { kindNamed, withCaseValues } from './checks/index.ts'
import { firstValues } from './constants.ts'
import type { Exercise } from './exercise.ts'

/**
 * The fields of a check's own kind as they hold for a case: `$name` values in their places, defaults filled in. Null only
 * for an exercise that `parseExercise` has not passed. One student's constants are put in beforehand (`exerciseFor`).
 */
export function checkFields(
  exercise: Pick<Exercise, 'cases' | 'constants'>,
  check: Check,
  caseId: string,
): Readonly<Record<string, unknown>> | null {
  const found = exercise.cases.find((each) => each.id === caseId)
  const kind = kindNamed(check.kind)
  if (found === undefined || kind === undefined) return null
  const values = { ...firstValues(exercise.constants), ...found.expect }
  const written = withCaseValues(ownFields(check), values, () => undefined)
  return kind.schema.read(written, [], () => undefined) ?? null
}
