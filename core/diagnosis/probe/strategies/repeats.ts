import type { Image } from '../../../image/index.ts'
import type { Ground } from './ground.ts'
import type { Strategy } from './strategy.ts'
import { routineOf } from './model-facts.ts'
import { textOf, type Insertion } from './model-text.ts'

/** A value that RAM hardly holds by chance. */
const mark = 0xa7

/** A routine that works at its first call only; everything done twice; one call of the firmware made twice. */
export function repeats({ exercise, profile, facts }: Ground): readonly Strategy[] {
  const { text, program, ends, onceCalled } = facts
  const first = text.at(program.entry)
  const found: Strategy[] = []
  const add = (strategy: Omit<Strategy, 'image' | 'isWhole'>, image: Image | null): void => {
    if (image !== null) found.push({ ...strategy, image, isWhole: false })
  }
  if (first !== undefined && exercise.program.ends === 'return') {
    for (const flag of [null, ...freePlaces(exercise)]) {
      const place = flag === null ? text.label() : String(flag)
      const back = text.label()
      const ahead = [
        'PUSH AF',
        `LD A,(${place})`,
        `CP ${mark}`,
        `JP Z,${back}`,
        `LD A,${mark}`,
        `LD (${place}),A`,
        'POP AF',
      ]
      const tail = [`${back}: POP AF`, 'RET', ...(flag === null ? [`${place}: DB 0`] : [])]
      const words = 'A routine that works when it is called first and returns at once when it is called again'
      add({ kind: 'first-call', words, detail: null, subjects: ['calls'] }, text.with([{ at: first, ahead }], tail))
    }
  }
  const isFree = program.listing.every(({ source }) => !/\bIX/i.test(source))
  if (!isFree) return found
  if (first !== undefined && ends.length > 0) {
    const start = text.label()
    const again = ends.map((at): Insertion => {
      const last = text.label()
      const leaving = ['PUSH AF', 'DEC IXL', `JP Z,${last}`, 'POP AF', `JP ${start}`, `${last}: POP AF`]
      const isConditional = at.mnemonic === 'RET' && at.operands.length > 0
      const over = text.label()
      return isConditional
        ? {
            at,
            instead: [
              `JP ${opposite[at.operands[0]?.toUpperCase() ?? ''] ?? 'NZ'},${over}`,
              ...leaving,
              'RET',
              `${over}:`,
            ],
          }
        : { at, before: leaving }
    })
    const isEnd = ends.includes(first)
    const image = isEnd ? null : text.with([{ at: first, ahead: ['LD IXL,2', `${start}:`] }, ...again])
    add(
      {
        kind: 'repeated',
        words: 'A program that does everything twice',
        detail: null,
        subjects: ['values'],
        repeats: { words: 'all of it runs twice', check: null },
      },
      image,
    )
  }
  for (const at of onceCalled) {
    const called = profile.firmware.routines.find(({ address }) => address === routineOf(at.operands[0] ?? '', profile))
    if (called === undefined) continue
    const twice = ['PUSH AF', 'PUSH BC', 'PUSH DE', 'PUSH HL', textOf(at), 'POP HL', 'POP DE', 'POP BC', 'POP AF']
    add(
      {
        ...{
          kind: 'repeated',
          words: `A program that calls ${called.name} twice, where the model answer calls it once`,
        },
        ...{ detail: null, subjects: [] },
        repeats: {
          words: `${called.name} is called twice`,
          check: { kind: 'calls-routine', routine: called.name, exactly: 1 },
        },
      },
      text.with([{ at, before: twice }]),
    )
  }
  return found
}

export const opposite: Readonly<Record<string, string>> = {
  ...{ NZ: 'Z', Z: 'NZ', NC: 'C', C: 'NC', PO: 'PE', PE: 'PO', P: 'M', M: 'P' },
}

/** RAM that checks leave to the program: the last byte of each such range. */
function freePlaces({ checks }: Ground['exercise']): readonly number[] {
  const ranges = checks.flatMap((check) =>
    check.kind === 'memory' ? ((check['except'] ?? []) as readonly { to: number }[]) : [],
  )
  return [...new Set(ranges.map(({ to }) => to))].slice(0, 2)
}
