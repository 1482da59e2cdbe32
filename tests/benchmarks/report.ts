import { workloads } from './workloads.ts'
import type { Outcomes } from './rounds.ts'

export const median = (values: readonly number[]): number => {
  const sorted = values.toSorted((a, b) => a - b)
  const middle = sorted.length >> 1
  return sorted.length % 2 === 1 ? (sorted[middle] ?? NaN) : ((sorted[middle - 1] ?? NaN) + (sorted[middle] ?? NaN)) / 2
}

const geometricMean = (values: readonly number[]): number =>
  Math.exp(values.reduce((sum, value) => sum + Math.log(value), 0) / values.length)

export interface Row {
  readonly core: string
  /** Millions of T-states in a second, by workload. */
  readonly megahertz: Readonly<Record<string, number>>
  /** How many times as fast as that core: medians of the rounds, geometric mean over the workloads; null: not measured. */
  readonly timesNpm: number | null
  readonly timesZ80ex: number | null
}

export function rowsOf(
  all: ReadonlyMap<string, readonly Outcomes[]>,
  npmName: string,
  z80exName: string,
): readonly Row[] {
  const speed = (outcomes: Outcomes | undefined, workload: string) => {
    const { tStates = NaN, ms = NaN } = outcomes?.[workload] ?? {}
    return tStates / ms / 1000
  }
  return [...all].map(([core, rounds]) => {
    const times = (other: string) => {
      const others = all.get(other)
      if (!others) return null
      const ratios = workloads.map(({ name }) =>
        median(rounds.map((outcomes, round) => speed(outcomes, name) / speed(others[round], name))),
      )
      return geometricMean(ratios)
    }
    const megahertz = workloads.map(({ name }) => [name, median(rounds.map((each) => speed(each, name)))] as const)
    return { core, megahertz: Object.fromEntries(megahertz), timesNpm: times(npmName), timesZ80ex: times(z80exName) }
  })
}

/** A table in Markdown, numbers to the right. */
export function table(head: readonly string[], lines: readonly (readonly string[])[]): string {
  const widths = head.map((cell, column) =>
    Math.max(4, cell.length, ...lines.map((line) => (line[column] ?? '').length)),
  )
  const line = (cells: readonly string[]) =>
    `| ${cells.map((cell, column) => (column === 0 ? cell.padEnd(widths[column] ?? 0) : cell.padStart(widths[column] ?? 0))).join(' | ')} |`
  const rule = widths.map((width, column) => (column === 0 ? '-'.repeat(width) : `${'-'.repeat(width - 1)}:`))
  return [line(head), line(rule), ...lines.map(line)].join('\n')
}
