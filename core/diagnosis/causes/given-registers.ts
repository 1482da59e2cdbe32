import type { UsedRegister } from '../../cpu/index.ts'
import { caseInstances } from '../../exercise/index.ts'
import type { RunView, Scene } from './scene.ts'

/** The registers, by halves, that the task itself gives a value at the start of a case. */
export function givenHalves({ exercise }: Scene, view: RunView): readonly UsedRegister[] {
  const instance = caseInstances(exercise).find(({ id }) => id === view.caseId)
  const names = [
    ...Object.keys(exercise.given?.registers ?? {}),
    ...Object.keys(instance?.of.given?.registers ?? {}),
    ...(instance?.of.draws ?? []).flatMap(({ register }) => (register === null ? [] : [register])),
  ]
  return names.flatMap((name) => {
    const upper = name.toUpperCase()
    if (/^I[XY]$/.test(upper)) return [`${upper}H`, `${upper}L`] as UsedRegister[]
    return upper.length === 2 ? ([...upper] as UsedRegister[]) : [upper as UsedRegister]
  })
}
