/**
 * Whether two correct answers of an exercise show no difference, and each seeded mistake one, and where the trace of a
 * mistake opens: `tsx tests/benchmarks/comparison.ts [--json] [EXERCISE…]`.
 */
import { parseArgs } from 'node:util'
import { filesOf, folders, mistakesOf } from '../core/exercise/tram-depot.ts'
import { compared, openingOf } from '../core/diagnosis/compared.ts'

const { values, positionals } = parseArgs({ options: { json: { type: 'boolean' } }, allowPositionals: true })
interface Row {
  readonly folder: string
  readonly file: string
  readonly caseId: string | null
  readonly sentence: string | null
  readonly locked: number
  /** Steps from where the trace opens to where the first check was decided; null where that is all there is. */
  readonly before: number | null
}

const rows: Row[] = []

for (const folder of positionals.length > 0 ? positionals : folders) {
  const other = Object.keys(filesOf(folder)).filter((name) => name.startsWith('other.'))
  for (const file of [...other, ...mistakesOf(folder).map((mistake) => mistake.file)]) {
    const cases = compared(folder, file)
    const different = cases.find(({ comparison }) => comparison.difference !== null)
    const row = {
      folder,
      file,
      caseId: different?.caseId ?? null,
      sentence: different?.comparison.difference?.sentence ?? null,
      locked: cases[0]?.comparison.locked.length ?? 0,
      before: stepsBefore(folder, file),
    }
    rows.push(row)
    if (values.json === true) continue
    console.log(
      `${folder} ${file.padEnd(34)} ${row.locked} locked; ${row.caseId ?? ''} ${row.sentence ?? 'no difference'}`,
    )
  }
}
function stepsBefore(folder: string, file: string): number | null {
  const { place, report } = openingOf(folder, file)
  if (place === null || place.difference === null || report.firstWrong === null) return null
  return report.firstWrong.step - place.step
}

const others = rows.filter(({ file }) => file.startsWith('other.'))
const mistakes = rows.filter(({ file }) => !file.startsWith('other.'))
const summary = {
  otherAnswers: others.length,
  withoutDifference: others.filter(({ caseId }) => caseId === null).length,
  mistakes: mistakes.length,
  withDifference: mistakes.filter(({ caseId }) => caseId !== null).length,
  opensAtAnEvent: mistakes.filter(({ before }) => before !== null).length,
  opensBeforeTheCheck: mistakes.filter(({ before }) => before !== null && before > 0).length,
  opensAfterTheCheck: mistakes.filter(({ before }) => before !== null && before < 0).length,
}
console.log(values.json === true ? JSON.stringify({ summary, rows }, null, 2) : summary)
