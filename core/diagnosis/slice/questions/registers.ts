import { registersAtStart } from '../../../run/index.ts'
import { registerValue, type RegisterName } from '../../../exercise/index.ts'
import { flagNames, type FlagName } from '../why.ts'
import { mostValues, type Answer, type Asked } from './asked.ts'

/** Registers that do not hold what they should at the end. */
export const registerQuestions: Answer = (asked) => {
  const want = asked.fields['want'] as Readonly<Partial<Record<RegisterName, number | 'model'>>>
  return registersWrong(asked, namesOf(want), (register) => {
    const value = want[register]
    return value === 'model'
      ? registerValue(asked.model()?.registers ?? asked.recording.result.registers, register)
      : value
  })
}

/** Registers that were to be brought back as they were. */
export const keptQuestions: Answer = (asked) => {
  const before = registersAtStart(asked.request)
  return registersWrong(asked, asked.fields['registers'] as readonly RegisterName[], (register) =>
    registerValue(before, register),
  )
}

export const flagQuestions: Answer = (asked) => {
  const { recording, fields, model } = asked
  const want = fields['want'] as Readonly<Partial<Record<FlagName, number | 'model'>>>
  const bitOf = (af: number, flag: FlagName): number => (af >> flagNames.indexOf(flag)) & 1
  return flagNames
    .filter((flag) => {
      const value = want[flag]
      if (value === undefined) return false
      const wanted = value === 'model' ? bitOf(model()?.registers.af ?? 0, flag) : value
      return bitOf(recording.result.registers.af, flag) !== wanted
    })
    .map((flag) => ({ step: recording.result.steps, target: { kind: 'flag', flag } }))
}

function namesOf(want: Readonly<Partial<Record<RegisterName, unknown>>>): readonly RegisterName[] {
  return Object.keys(want) as RegisterName[]
}

function registersWrong(
  { recording }: Asked,
  names: readonly RegisterName[],
  wantedOf: (register: RegisterName) => number | undefined,
): ReturnType<Answer> {
  const { registers, steps } = recording.result
  return names
    .filter((register) => registerValue(registers, register) !== wantedOf(register))
    .slice(0, mostValues)
    .map((register) => ({ step: steps, target: { kind: 'register', register } }))
}
