/** Most that one text or request may cost: milliseconds of CPU of this process, and megabytes that it takes or leaves. */
export const limits = { cpuMs: 100, megabytes: 64 } as const

/** What `yardstick` costs, in milliseconds of CPU, on a core of 2025 with nothing else to do. */
const yardstickMs = 26

/** Work of the kind that parsers do. */
function yardstick(): number {
  let sum = 0
  for (let i = 0; i < 60_000; i += 1) sum += [...`${i}:3E 05`.matchAll(/[0-9A-F]+/g)].length
  return sum
}

/** How many times longer the same work takes here and now than on a quiet core: others share its caches and its clock. */
function slowness(): number {
  const before = process.cpuUsage()
  yardstick()
  const { user, system } = process.cpuUsage(before)
  return Math.max(1, (user + system) / 1000 / yardstickMs)
}

/** Tries of a case that seems dear: compiling, collecting garbage and other tests of the process count in one of them only. */
const tries = 4

export interface Cost {
  readonly cpuMs: number
  readonly megabytes: number
}

/** What a piece of work costs: the least of several tries where one is not below the limits. CPU time, so that a busy machine says the same. */
export async function costOf(work: () => unknown): Promise<Cost> {
  let best: Cost = { cpuMs: Infinity, megabytes: Infinity }
  for (let i = 0; i < tries; i += 1) {
    const heap = process.memoryUsage()
    const before = process.cpuUsage()
    await work()
    const { user, system } = process.cpuUsage(before)
    const spent = (user + system) / 1000
    const after = process.memoryUsage()
    const bytes = after.heapUsed + after.arrayBuffers - heap.heapUsed - heap.arrayBuffers
    best = {
      cpuMs: Math.min(best.cpuMs, spent > limits.cpuMs ? spent / slowness() : spent),
      megabytes: Math.min(best.megabytes, bytes / 1e6),
    }
    if (best.cpuMs <= limits.cpuMs && best.megabytes <= limits.megabytes) break
  }
  return best
}

/** What a case costs too much of, in words; null when it stays below. */
export function tooDear({ cpuMs, megabytes }: Cost): string | null {
  if (cpuMs > limits.cpuMs) return `${cpuMs.toFixed(0)} ms of CPU`
  return megabytes > limits.megabytes ? `${megabytes.toFixed(0)} MB` : null
}
