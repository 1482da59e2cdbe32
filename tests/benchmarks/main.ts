/**
 * `npm run bench -- [--quick] [--rounds N] [--json FILE]`: how fast the engine is, beside others, as tables; and as JSON in
 * FILE, else in docs/bench.json (--quick writes only where it is told to). Cores take turns, each in a fresh process, and
 * must agree on memory, T-states, and every OUT with its exact time. Ratios can be trusted more than megahertz.
 */
import { writeFileSync } from 'node:fs'
import { availableParallelism } from 'node:os'
import { parseArgs } from 'node:util'
import { median, rowsOf, table } from './report.ts'
import { built } from './built.ts'
import { measureAll, ownContenders, z80ex } from './rounds.ts'
import { workloads } from './workloads.ts'

const { values } = parseArgs({
  options: { quick: { type: 'boolean' }, rounds: { type: 'string' }, json: { type: 'string' } },
})
const isQuick = values.quick === true
const rounds = Number(values.rounds ?? (isQuick ? 1 : 7))
const npmName = 'z80-emulator 2.3.0'
const tell = (text: string) => console.error(text)

tell('compiling')
const own = built(['steady.ts', 'unseen.ts', 'grades.ts', 'second-machine.ts'])
process.on('exit', () => own.close())
const native = z80ex()
const isNative = 'measure' in native
const all = measureAll([...ownContenders(own), ...(isNative ? [native] : [])], rounds, tell)
if (isNative) native.close()
const rows = rowsOf(all, npmName, isNative ? native.name : '')

const unseen = (state: 'warm' | 'cold'): number => {
  tell(`a program not seen before, ${state}`)
  const tries = Array.from({ length: 3 * rounds }, () =>
    workloads.map(({ name }) => (own.run('unseen.ts', name, state) as { ms: number }).ms),
  )
  return median(tries.flat())
}
const [warmMs, coldMs] = [unseen('warm'), unseen('cold')]
tell('grades')
// As often as all else: on a shared server one try of a few seconds says little.
const grades = Array.from({ length: rounds }, () => own.run('grades.ts', isQuick ? '1' : '4'))
const gradesPerSecond = median(grades.map((each) => (each as { perSecond: number }).perSecond))
tell('a second machine')
const second = own.run('second-machine.ts') as { webAssembly: number; typescript: number }

const row = (core: string) => rows.find((each) => each.core === core)
interface Goal {
  readonly goal: string
  readonly wanted: number
  readonly measured: number | null
  readonly isMet: boolean | null
}
const atLeast = (goal: string, wanted: number, measured: number | null | undefined): Goal => ({
  goal,
  wanted,
  measured: measured ?? null,
  isMet: measured === null || measured === undefined ? null : measured >= wanted,
})
const atMost = (goal: string, wanted: number, measured: number): Goal => ({
  goal,
  wanted,
  measured,
  isMet: measured <= wanted,
})
const goals: readonly Goal[] = [
  atLeast('without closed forms, × z80-emulator, at least', 5, row('Hexcairn')?.timesNpm),
  atLeast('without closed forms, × libz80ex, at least', 4.5, row('Hexcairn')?.timesZ80ex),
  atLeast('with closed forms, × z80-emulator, at least', 7, row('Hexcairn, closed forms')?.timesNpm),
  atLeast('with full trace, × z80-emulator without, at least', 2, row('Hexcairn, full trace')?.timesNpm),
  atMost('5 M T-states never seen before, warm, ms, at most', 3, warmMs),
  atMost('5 M T-states never seen before, cold process, ms, at most', 20, coldMs),
  atLeast('grades of 4 M T-states a second of one core, at least', 700, gradesPerSecond),
  atMost('time of a second machine in one process, × the first, at most', 1.1, second.webAssembly),
]

const number = (value: number | null | undefined, places: number) => value?.toFixed(places) ?? '–'
console.log(
  table(
    ['core, MHz on', ...workloads.map(({ name }) => name), '× z80-emulator', '× libz80ex'],
    rows.map(({ core, megahertz, timesNpm, timesZ80ex }) => [
      core,
      ...workloads.map(({ name }) => number(megahertz[name], 0)),
      number(timesNpm, 2),
      number(timesZ80ex, 2),
    ]),
  ),
)
if (!isNative) console.log(`\nlibz80ex: skipped, ${native.skipped}`)
console.log()
console.log(
  table(
    ['goal', 'wanted', 'measured', 'met'],
    goals.map(({ goal, wanted, measured, isMet }) => {
      const places = wanted >= 100 ? 0 : 2
      return [goal, String(wanted), number(measured, places), isMet === null ? 'skipped' : isMet ? 'yes' : 'no']
    }),
  ),
)

const file = values.json ?? (isQuick ? undefined : 'docs/bench.json')
if (file !== undefined) {
  const result = {
    date: new Date().toISOString().slice(0, 10),
    machine: `${availableParallelism()} cores, ${process.arch}, Node ${process.versions.node}`,
    rounds,
    agree: 'memory, T-states, and port, byte and time of every OUT',
    workloads: Object.fromEntries(workloads.map(({ name, about }) => [name, about])),
    cores: rows,
    skipped: isNative ? null : native.skipped,
    goals,
    secondMachine: second,
  }
  writeFileSync(file, `${JSON.stringify(result, null, 2)}\n`)
}
