/**
 * Counts what running and looking takes, in numbers that are the same on every computer and in every browser, so that a
 * search can be bounded without a clock. One unit is an instruction that is executed, or about as much of anything else:
 * some ten nanoseconds on a computer of 2025.
 */
let limit = Infinity
let done = 0

/** Thrown where the work allowed is used up; `withinWork` catches it. */
class WorkUsedUp extends Error {
  constructor() {
    super('the work allowed is used up')
    this.name = 'WorkUsedUp'
  }
}

/** Notes work that was done. */
export function countWork(units: number): void {
  done += units
  if (done > limit) throw new WorkUsedUp()
}

/** All work noted so far; only the difference of two calls says something. */
export function workDone(): number {
  return done
}

/** Does `task` with so many units of work at most, fewer where it is part of a task with fewer left; null where they did not do. */
export function withinWork<T>(units: number, task: () => T): { readonly value: T; readonly work: number } | null {
  const outer = { limit, start: done }
  limit = Math.min(limit, done + units)
  try {
    return { value: task(), work: done - outer.start }
  } catch (error) {
    // Where the task around it has no work left either, that one ends too.
    if (error instanceof WorkUsedUp && done <= outer.limit) return null
    throw error
  } finally {
    limit = outer.limit
  }
}

/** Does what is kept for the next time, such as the run of a model answer: it must count no more the first time than later. */
export function withoutCount<T>(task: () => T): T {
  const outer = { limit, done }
  limit = Infinity
  try {
    return task()
  } finally {
    limit = outer.limit
    done = outer.done
  }
}
