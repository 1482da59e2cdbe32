/**
 * What the costliest hand-ins cost a grader: `node --expose-gc --import tsx tests/benchmarks/cost.ts [--rounds N] [--seed N]
 * [--programs FILE…] [EXERCISE…]`. A search climbs over small loops of instructions that write ports and memory, call the
 * firmware, wait for interrupts and change themselves; for each exercise it prints the costliest: work counted, seconds of
 * this process's CPU, megabytes that memory grew to, size of report and causes. With `--programs` those are measured instead.
 */
import { readFileSync, writeFileSync } from 'node:fs'
import { parseArgs } from 'node:util'
import { benchEight } from '../../core/board/index.ts'
import { Random } from '../../core/run/index.ts'
import { exerciseOf, folders } from '../core/exercise/tram-depot.ts'
import { climb, costOf, textOf } from '../core/grading/costly-programs.ts'

const { values, positionals } = parseArgs({
  options: { rounds: { type: 'string' }, seed: { type: 'string' }, programs: { type: 'string', multiple: true } },
  allowPositionals: true,
})
const rounds = Number(values.rounds ?? 30)
const seed = Number(values.seed ?? 1)

/** Highest memory of the process since the last call of `resetPeak`, in megabytes; 0 where the system does not tell. */
function peak(): number {
  const found = /VmHWM:\s+(\d+)/.exec(readFileSync('/proc/self/status', 'utf8'))
  return Number(found?.[1] ?? 0) / 1024
}

function resetPeak(): number {
  const { gc } = globalThis as { gc?: () => void }
  gc?.()
  writeFileSync('/proc/self/clear_refs', '5')
  return process.memoryUsage().rss / 2 ** 20
}

function measured(text: string, id: string): { readonly seconds: number; readonly line: string } {
  const before = resetPeak()
  const cpu = process.cpuUsage()
  const { grade, search, reportBytes } = costOf(text, exerciseOf(id), benchEight)
  const { user, system } = process.cpuUsage(cpu)
  const seconds = (user + system) / 1e6
  const work = `${(grade / 1e6).toFixed(0)} + ${(search / 1e6).toFixed(0)} M`
  const size = `${(reportBytes / 1024).toFixed(0)} KB`
  return { seconds, line: `${id}  ${work}  ${seconds.toFixed(2)} s  ${(peak() - before).toFixed(0)} MB  ${size}` }
}

for (const id of positionals.length > 0 ? positionals : folders) {
  if (values.programs !== undefined) {
    for (const file of values.programs) console.log(file, measured(readFileSync(file, 'utf8'), id).line)
    continue
  }
  let shown = ''
  const { loop } = climb(new Random(seed), rounds, (each) => {
    const { seconds, line } = measured(textOf(each), id)
    if (shown === '' || seconds > Number(/([\d.]+) s/.exec(shown)?.[1])) shown = line
    return seconds
  })
  console.log(`${shown}  ${loop.map(({ text, times }) => (times > 1 ? `${times} × ${text}` : text)).join(' / ')}`)
}
