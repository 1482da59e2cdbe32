import { execFileSync } from 'node:child_process'
import { existsSync, mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { fileURLToPath } from 'node:url'
import type { Built } from './built.ts'
import { cores, type CoreName, type Outcome } from './cores.ts'
import { memoryOf, timesEach, workloads } from './workloads.ts'

const fileOf = (name: string) => fileURLToPath(new URL(name, import.meta.url))

export type Outcomes = Readonly<Record<string, Omit<Outcome, 'msToMake'>>>

/** One core, and how to measure it on all workloads in a fresh process. */
export interface Contender {
  readonly name: string
  measure(): Outcomes
}

export const ownContenders = ({ run }: Built): readonly Contender[] =>
  (Object.keys(cores) as CoreName[]).map((name) => ({ name, measure: () => run('steady.ts', name) as Outcomes }))

/** libz80ex (GPL) from the Debian package libz80ex-dev, by `z80ex.c`; or why it cannot be measured here. */
export function z80ex(): (Contender & { close(): void }) | { readonly skipped: string } {
  const headers = ['/usr/include', '/usr/local/include'].some((folder) => existsSync(join(folder, 'z80ex/z80ex.h')))
  if (!headers) return { skipped: 'libz80ex-dev is not installed' }
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-bench-'))
  const close = () => rmSync(folder, { recursive: true })
  const program = join(folder, 'z80ex')
  try {
    execFileSync('cc', ['-O3', '-march=native', '-o', program, fileOf('z80ex.c'), '-lz80ex'], { stdio: 'pipe' })
  } catch (error) {
    close()
    return { skipped: `cc: ${error instanceof Error ? (error.message.split('\n')[0] ?? '') : 'failed'}` }
  }
  const measure = () => {
    const measured = workloads.map(({ name, ...workload }) => {
      const image = join(folder, name)
      writeFileSync(image, memoryOf({ name, ...workload }, workload.measured))
      const outcome = JSON.parse(
        execFileSync(program, [image, String(timesEach)], { encoding: 'utf8' }),
      ) as Outcomes[string]
      return [name, outcome] as const
    })
    return Object.fromEntries(measured)
  }
  return { name: 'libz80ex (C)', measure, close }
}

/** Measures all in turn, `rounds` times over. Throws if two of them do not do the same. */
export function measureAll(
  contenders: readonly Contender[],
  rounds: number,
  tell: (text: string) => void,
): ReadonlyMap<string, readonly Outcomes[]> {
  const all = new Map<string, Outcomes[]>(contenders.map(({ name }) => [name, []]))
  let first: Outcomes | undefined
  for (let round = 1; round <= rounds; round++) {
    for (const { name, measure } of contenders) {
      tell(`round ${round} of ${rounds}: ${name}`)
      const outcomes = measure()
      first ??= outcomes
      for (const workload of workloads) {
        const [found, wanted] = [outcomes, first].map((each) => {
          const { tStates, memory, outs } = each[workload.name] ?? {}
          return JSON.stringify({ tStates, memory, outs })
        })
        if (found !== wanted) throw new Error(`${name} on ${workload.name}: ${found}, the first core: ${wanted}`)
      }
      all.get(name)?.push(outcomes)
    }
  }
  return all
}
