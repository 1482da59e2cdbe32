import type { BoardProfile } from '../board/index.ts'
import { showByte, showRange } from '../image/index.ts'
import { callsOfCase, placeOfCalls } from './calls.ts'
import type { Given } from './case.ts'
import type { Exercise } from './exercise.ts'
import { roomForIdleKey, switchesOn } from './idle-inputs.ts'
import { idleKeysWithoutRoom, mergedGiven } from './request.ts'
import { documentProblem, type DocumentProblem, type Path } from './schema/index.ts'

/** Keys and switches that the board does not have, and idle ones that the cases leave no room for or use themselves. */
export function inputMisfits(exercise: Exercise, profile: BoardProfile): readonly DocumentProblem[] {
  const places = [
    { given: exercise.given, path: ['given'] },
    ...exercise.cases.map(({ given }, i) => ({ given, path: ['cases', i, 'given'] })),
  ]
  return [
    ...places.flatMap(({ given, path }) =>
      given === null ? [] : [...keyMisfits(given, profile, path), ...switchMisfits(given, profile, path)],
    ),
    ...usedIdleSwitches(exercise),
    ...idleKeysWithoutRoom(exercise, profile).map(({ caseIndex, keys }) => {
      const allowed = `room for each: ${roomForIdleKey} ms for the first between two inputs, 80 ms for each more`
      const found = `no room for ${keys.join(', ')} between the inputs of this case`
      return documentProblem(['cases', caseIndex, 'given', 'idleKeys'], 'no-room', found, allowed)
    }),
  ]
}

function keyMisfits({ keys, idleKeys }: Given, { keypad }: BoardProfile, path: Path): readonly DocumentProblem[] {
  const known = keypad.keys.flat().filter((key) => key !== '')
  const named = [
    ...(idleKeys === null || idleKeys === 'others' ? [] : idleKeys).map((key, i) => ({ key, at: ['idleKeys', i] })),
    ...keys.map(({ key }, i) => ({ key, at: ['keys', i, 'key'] })),
  ]
  return named
    .filter(({ key }) => !known.includes(key))
    .map(({ key, at }) => documentProblem([...path, ...at], 'unknown-key', `'${key}'`, known.join(', ')))
}

function switchMisfits(
  { switches, switchMoves, idleSwitches }: Given,
  { switches: row }: BoardProfile,
  path: Path,
): readonly DocumentProblem[] {
  const bits = row?.bits ?? []
  const mask = bits.reduce((sum, bit) => sum | (1 << bit), 0)
  const allowed = row === null ? 'no switches: the board has none' : `the bits of its switches: ${bits.join(', ')}`
  const values = [
    ...(switches === null ? [] : [{ value: switches, at: ['switches'] }]),
    ...switchMoves.map(({ to }, i) => ({ value: to, at: ['switchMoves', i, 'to'] })),
  ]
  const named = idleSwitches === null || idleSwitches === 'others' ? [] : idleSwitches
  return [
    ...values
      .filter(({ value }) => (value & ~mask) !== 0)
      .map(({ value, at }) => documentProblem([...path, ...at], 'unknown-switch', showByte(value), allowed)),
    ...named.flatMap((bit, i) =>
      bits.includes(bit)
        ? []
        : [documentProblem([...path, 'idleSwitches', i], 'unknown-switch', `switch ${bit}`, allowed)],
    ),
  ]
}

/** An idle switch that its own case has on. */
function usedIdleSwitches({ given, cases }: Exercise): readonly DocumentProblem[] {
  return cases.flatMap((each, i) => {
    const merged = mergedGiven(given, each.given)
    if (merged.idleSwitches === null || merged.idleSwitches === 'others') return []
    const used = merged.idleSwitches.filter((bit) => ((switchesOn(merged) >> bit) & 1) === 1)
    if (used.length === 0) return []
    const found = `switch ${used.join(', ')}, which the case ${each.id} has on`
    return [documentProblem(['cases', i, 'given', 'idleSwitches'], 'used', found, 'switches that are off in the case')]
  })
}

/** Drivers of `calls` that do not lie in RAM, or where bytes are put for the calls. */
export function callsMisfits(exercise: Exercise, profile: BoardProfile): readonly DocumentProblem[] {
  const ram = profile.memory.filter(({ kind }) => kind === 'ram')
  return exercise.cases.flatMap((each, i) => {
    if (each.calls.length === 0) return []
    const { from, to } = placeOfCalls(each, profile)
    const path = ['cases', i, each.callsAt === null ? 'calls' : 'callsAt']
    const found = `a driver of ${to - from + 1} bytes at ${showRange(Math.max(0, from), Math.min(0xffff, to))}`
    if (!ram.some((region) => region.from <= from && to <= region.to)) {
      return [documentProblem(path, 'calls-place', found, 'a place in RAM')]
    }
    const blocks = [
      ...mergedGiven(exercise.given, each.given).memory,
      ...[each, ...callsOfCase(each)].flatMap(({ draws }) =>
        draws.flatMap(({ at, length }) => (at === null ? [] : [{ at, bytes: { length } }])),
      ),
      ...callsOfCase(each).flatMap(({ memory }) => memory),
    ]
    const hit = blocks.find(({ at, bytes }) => at <= to && at + bytes.length > from)
    if (hit === undefined) return []
    const allowed = `a place without the bytes given at ${showRange(hit.at, hit.at + hit.bytes.length - 1)}`
    return [documentProblem(path, 'calls-place', found, allowed)]
  })
}
