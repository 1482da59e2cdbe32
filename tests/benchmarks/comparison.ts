/**
 * Whether two correct answers of an exercise show no difference, and each seeded mistake one: `tsx
 * tests/benchmarks/comparison.ts [--json] [EXERCISE…]`.
 */
import { parseArgs } from 'node:util'
import { filesOf, folders, mistakesOf } from '../core/exercise/tram-depot.ts'
import { compared } from '../core/diagnosis/compared.ts'

const { values, positionals } = parseArgs({ options: { json: { type: 'boolean' } }, allowPositionals: true })
const rows: { folder: string; file: string; caseId: string | null; sentence: string | null; locked: number }[] = []

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
    }
    rows.push(row)
    if (values.json === true) continue
    console.log(
      `${folder} ${file.padEnd(34)} ${row.locked} locked; ${row.caseId ?? ''} ${row.sentence ?? 'no difference'}`,
    )
  }
}
const others = rows.filter(({ file }) => file.startsWith('other.'))
const mistakes = rows.filter(({ file }) => !file.startsWith('other.'))
const summary = {
  otherAnswers: others.length,
  withoutDifference: others.filter(({ caseId }) => caseId === null).length,
  mistakes: mistakes.length,
  withDifference: mistakes.filter(({ caseId }) => caseId !== null).length,
}
console.log(values.json === true ? JSON.stringify({ summary, rows }, null, 2) : summary)
