/**
 * The command line with random words and strange files: `command-fuzz.ts [--cases N] [--seed S]`. Prints what a script could
 * not rely on, with the words that led to it, and ends with 1 when there was any.
 */
import fc from 'fast-check'
import { parseArgs } from 'node:util'
import { anyWords, complaint, inProcess, strangeFiles } from '../server/commands/command-cases.ts'

const { values } = parseArgs({ options: { cases: { type: 'string' }, seed: { type: 'string' } } })
const cases = Number(values.cases ?? 2000)
const seed = Number(values.seed ?? 1)
const { folder, names, remove } = strangeFiles()
const codes = new Map<number, number>()
const result = await fc.check(
  fc.asyncProperty(anyWords(folder, names), async (words) => {
    const outcome = await inProcess(words)
    codes.set(outcome.code, (codes.get(outcome.code) ?? 0) + 1)
    const found = complaint(words, outcome)
    if (found !== null) throw new Error(found)
  }),
  { numRuns: cases, seed },
)
remove()
console.log(`seed ${seed}: ${result.numRuns} command lines, codes ${JSON.stringify(Object.fromEntries(codes))}`)
if (result.failed) {
  console.log(fc.defaultReportMessage(result))
  process.exitCode = 1
}
