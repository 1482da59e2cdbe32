/**
 * The digest of every report of the demo course: `npm run golden` writes `tests/fixtures/golden/reports.json`. A report may
 * change with its exercise, its program or the board; any other change is one of the engine, and then nothing is written
 * until `engineVersion` is raised. A test makes the digests again and compares.
 */
import { existsSync, mkdirSync, readFileSync, writeFileSync } from 'node:fs'
import { dirname, resolve } from 'node:path'
import { benchEight } from '../core/board/index.ts'
import { exerciseDigest } from '../core/exercise/index.ts'
import { engineVersion, grade } from '../core/grading/index.ts'
import { sha256 } from '../core/image/index.ts'
import { exerciseOf, filesOf, folders, programOf } from '../tests/core/exercise/tram-depot.ts'

/** The reports of one exercise: for each program its own digest and that of its report. */
export interface GoldenExercise {
  readonly exercise: string
  readonly reports: Readonly<Record<string, { readonly program: string; readonly report: string }>>
}

export interface Golden {
  readonly engineVersion: string
  readonly board: string
  readonly exercises: Readonly<Record<string, GoldenExercise>>
}

export const goldenFile = resolve(import.meta.dirname, '../tests/fixtures/golden/reports.json')
const seed = 7

/** Sixteen digits are enough to see a change by. */
function digestOf(value: unknown): string {
  return sha256(new TextEncoder().encode(JSON.stringify(value))).slice(0, 16)
}

/** A value with the fields of each object in the order of their names, so that their order changes no digest. */
function canonical(value: unknown): unknown {
  if (Array.isArray(value)) return value.map(canonical)
  if (typeof value !== 'object' || value === null) return value
  const fields = Object.entries(value).sort(([a], [b]) => (a < b ? -1 : 1))
  return Object.fromEntries(fields.map(([name, each]) => [name, canonical(each)]))
}

/** What the engine says now of each answer of an exercise: the model, the second one, each mistake. */
export function goldenExercise(folder: string): GoldenExercise {
  const exercise = exerciseOf(folder)
  const names = Object.keys(filesOf(folder)).filter((name) => /^(model|other|wrong-.*)\.(asm|hex|ihx)$/.test(name))
  const reports = names.sort().map((name) => {
    const program = programOf(folder, name, seed)
    // The version stands in every report, and would change each digest when it is raised.
    const { engine: _engine, ...report } = grade(program, exercise, benchEight, { seed })
    return [name, { program: digestOf(program), report: digestOf(canonical(report)) }] as const
  })
  return { exercise: exerciseDigest(exercise).slice(0, 16), reports: Object.fromEntries(reports) }
}

/** What the engine says now of the whole course, or of some of its exercises. */
export function goldenNow(chosen: readonly string[] = folders): Golden {
  const exercises = Object.fromEntries(chosen.map((folder) => [folder, goldenExercise(folder)]))
  return { engineVersion, board: digestOf(benchEight), exercises }
}

/** The reports that changed though neither exercise nor program nor board did: `C1/wrong-port.asm`. */
export function changedVerdicts(before: Golden, now: Golden): string[] {
  if (before.board !== now.board) return []
  return Object.entries(now.exercises).flatMap(([folder, { exercise, reports }]) => {
    const old = before.exercises[folder]
    if (old?.exercise !== exercise) return []
    return Object.entries(reports).flatMap(([name, { program, report }]) => {
      const was = old.reports[name]
      return was?.program === program && was.report !== report ? [`${folder}/${name}`] : []
    })
  })
}

/** Why `now` must not take the place of `before`; null when it may. */
export function refusal(before: Golden, now: Golden): string | null {
  const changed = before.engineVersion === now.engineVersion ? changedVerdicts(before, now) : []
  if (changed.length === 0) return null
  return `${changed.join(', ')}: the report changed, and exercise, program and board did not. Raise engineVersion in core/grading/engine.ts, then run npm run golden.`
}

export function readGolden(): Golden | null {
  return existsSync(goldenFile) ? (JSON.parse(readFileSync(goldenFile, 'utf8')) as Golden) : null
}

if (process.argv[1] === import.meta.filename) {
  const before = readGolden()
  const now = goldenNow()
  const why = before === null ? null : refusal(before, now)
  if (why === null) {
    mkdirSync(dirname(goldenFile), { recursive: true })
    writeFileSync(goldenFile, `${JSON.stringify(now, null, 2)}\n`)
    const count = Object.values(now.exercises).reduce((sum, { reports }) => sum + Object.keys(reports).length, 0)
    console.log(`${count} reports of ${now.engineVersion}`)
  } else {
    console.error(why)
    process.exitCode = 1
  }
}
