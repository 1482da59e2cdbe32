import { registersAtStart } from '../../../run/index.ts'
import { registerAcceptance, registerValue, type RegisterName } from '../../../exercise/index.ts'
import { flagNames, type FlagName } from '../why.ts'
import { mostValues, type Answer, type Asked } from './asked.ts'

/** Registers that do not hold what they should at the end. */
export const registerQuestions: Answer = (asked) => {
  const want = asked.fields['want'] as Readonly<Partial<Record<RegisterName, Parameters<typeof registerAcceptance>[1]>>>
  return registersWrong(asked, namesOf(want), (register, found) =>
    registerAcceptance(register, want[register] ?? 'model', asked.model).accepts(found),
  )
}

/** Registers that were to be brought back as they were. */
export const keptQuestions: Answer = (asked) => {
  const before = registersAtStart(asked.request)
  const names = asked.fields['registers'] as readonly RegisterName[]
  return registersWrong(asked, names, (register, found) => registerValue(before, register) === found)
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
  isRight: (register: RegisterName, found: number) => boolean,
): ReturnType<Answer> {
  const { registers, steps } = recording.result
  return names
    .filter((register) => !isRight(register, registerValue(registers, register)))
    .slice(0, mostValues)
    .map((register) => ({ step: steps, target: { kind: 'register', register } }))
}
