import type { Ground } from './ground.ts'
import type { Strategy } from './strategy.ts'

/** Instructions that use the byte at `place`; BACK stands for the way out. */
type Lines = (place: string, label: () => string) => readonly string[]

/** Where more calls than these are tried, a routine that works so often works. */
const enoughCalls = 3

/** Routines that work at their first call or calls only, or only when they have been called before. */
export function callStrategies({ exercise, facts }: Ground): readonly Strategy[] {
  const { text, program, mostVisits } = facts
  const first = text.at(program.entry)
  if (first === undefined || exercise.program.ends !== 'return') return []
  const found: Strategy[] = []
  const add = (kind: Strategy['kind'], words: string, ahead: Lines): void => {
    for (const free of [null, ...freePlaces(exercise)]) {
      const place = free === null ? text.label() : String(free)
      const back = text.label()
      const lines = ['PUSH AF', ...ahead(place, () => text.label()).map((line) => line.replace('BACK', back)), 'POP AF']
      const tail = [`${back}: POP AF`, 'RET', ...(free === null ? [`${place}: DB 0`] : [])]
      const image = text.with([{ at: first, ahead: lines }], tail)
      if (image !== null) found.push({ kind, words, detail: null, image, isWhole: false, subjects: ['calls'] })
    }
  }
  const firstWords = 'A routine that works when it is called first and returns at once when it is called again'
  add('first-call', firstWords, worksUntil(1))
  const calls = mostVisits(first)
  if (calls > 1 && calls <= enoughCalls) {
    add('first-call', `A routine that works ${calls} times and then no more`, worksUntil(calls))
  }
  add('later-calls', 'A routine that works only when it has been called before', (place) => [
    `LD A,(${place})`,
    `CP ${mark}`,
    `LD A,${mark}`,
    `LD (${place}),A`,
    'JP NZ,BACK',
  ])
  return found
}

/** A value that RAM hardly holds by chance; those below it are so many calls fewer. */
const mark = 0xa7

/** Counts the calls in a byte that may hold anything at first, and goes BACK at once when there have been so many. */
function worksUntil(calls: number): Lines {
  const start = mark - calls
  return (place, label) => {
    const counted = label()
    const count = [`LD A,(${place})`, `SUB ${start}`, `CP ${calls + 1}`, `JP C,${counted}`, 'XOR A', `${counted}:`]
    return [...count, `CP ${calls}`, 'JP Z,BACK', `ADD A,${start + 1}`, `LD (${place}),A`]
  }
}

/** RAM that checks leave to the program: the last byte of each such range. */
function freePlaces({ checks }: Ground['exercise']): readonly number[] {
  const ranges = checks.flatMap((check) =>
    check.kind === 'memory' ? ((check['except'] ?? []) as readonly { to: number }[]) : [],
  )
  return [...new Set(ranges.map(({ to }) => to))].slice(0, 2)
}
