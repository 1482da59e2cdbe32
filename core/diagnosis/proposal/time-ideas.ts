import type { Observed } from './observed.ts'
import { onlyIf, withMargin, type Idea, type Way } from './proposal.ts'

/** A program that shows nothing and takes so many T-states is there to wait. */
const waiting = 50_000
/** Words of a task that is about time. */
const timeWords = /\b(wait|delay|second|seconds|ms|milliseconds|T-states|half a second)\b/i

/** Words of a task that limits the time of a run. */
const limitWords = /\b\d[\d,]* T\b|\bT-states\b|\bfast\b/

/**
 * Time with a fifth to spare. Where the runs differ, each case has a limit of its own. A routine that only waits is held
 * to its time in both directions.
 */
export function timeIdeas({ brief, runs }: Observed, hasOutput: boolean): readonly Idea[] {
  const longest = Math.max(...runs.map(({ tStates }) => tStates))
  // A case that calls a routine several times takes as many times as long.
  const single = runs.filter(({ instance: { of } }) => (of.given?.driver ?? null) === null && of.calls.length === 0)
  const shortest = Math.min(...single.map(({ tStates }) => tStates))
  const spread = Math.max(...single.map(({ tStates }) => tStates)) - shortest
  const isWait =
    !hasOutput && single.length > 0 && shortest >= waiting && spread <= 0.01 * shortest && timeWords.test(brief)
  if (isWait) {
    const cases = [...new Set(single.map(({ instance }) => instance.of.id))]
    const on: Way = single.length < runs.length ? { cases } : {}
    return [
      {
        ...{ id: 'time', group: 'timing', weight: 1, title: `${shortest} T, give or take a hundredth` },
        reason: `The model answer waits for ${shortest} T.`,
        ways: [{ kind: 't-states', near: `${shortest} T`, within: '1 %', ...on }],
      },
    ]
  }
  const cases = [...new Set(runs.map(({ instance }) => instance.of.id))]
  const slowest = cases.map((id) => ({
    id,
    most: Math.max(...runs.filter(({ instance }) => instance.of.id === id).map(({ tStates }) => tStates)),
  }))
  const isEven = slowest.every(({ most }) => most >= 0.8 * longest)
  const limited = isEven ? [{ id: null, most: longest }] : slowest
  return limited.map(({ id, most }): Idea => {
    const max = withMargin(most)
    const on: Way = id === null ? {} : { cases: [id] }
    const limit: Way = { kind: 't-states', max: `${max} T`, ...on }
    const isVisible = id === null || runs.some(({ instance }) => instance.of.id === id && instance.isVisible)
    return {
      ...{
        id: id === null ? 'time' : `time-${id}`,
        group: 'timing',
        weight: 1,
        title: `At most ${max} T${id === null ? '' : ` (${id})`}`,
      },
      ...(limitWords.test(brief)
        ? { reason: `The model answer takes ${most} T; a fifth more is allowed.` }
        : {
            reason: `The model answer takes ${most} T; a fifth more is allowed. ${onlyIf('limits the time')}`,
            isChosen: false,
          }),
      ways: [isVisible ? limit : { ...limit, visible: false }],
    }
  })
}
