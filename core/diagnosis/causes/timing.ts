import { isDisplayDark, measureDisplay, measureSpeaker } from '../../board/index.ts'
import type { RunResult } from '../../run/index.ts'
import { showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { RunView, Scene } from './scene.ts'
import { idsOf, poked, seenAtEnd, shown, type Poke } from './signs.ts'
import type { Site } from './sites.ts'

/** A figure of a run that a number in the program may decide: how long, how often, how fast. */
interface Figure {
  readonly name: string
  readonly of: (result: RunResult, scene: Scene) => number | null
}

const figures: readonly Figure[] = [
  {
    name: 'T-states of the whole run',
    of: ({ tStates, end }) => (end.kind === 'halted' || end.kind === 'returned' ? tStates : null),
  },
  { name: 'T-states of half a wave', of: (result, scene) => halfWave(result, scene) },
  { name: 'edges of the speaker', of: (result, scene) => speakerOf(result, scene).edges || null },
  { name: 'T-states from one sweep to the next', of: (result, scene) => sweepOf(result, scene) },
]

function speakerOf({ events, tStates }: RunResult, { profile }: Scene): ReturnType<typeof measureSpeaker> {
  return measureSpeaker(events, profile, { from: 0, to: tStates })
}

function halfWave(result: RunResult, scene: Scene): number | null {
  const { frequencyHz } = speakerOf(result, scene)
  return frequencyHz === null ? null : scene.profile.clockHz / (2 * frequencyHz)
}

function sweepOf({ events, tStates }: RunResult, { profile }: Scene): number | null {
  const { refreshHz } = measureDisplay(events, profile, 0, tStates)
  return refreshHz === null ? null : profile.clockHz / refreshHz
}

/** A number with which a figure would be the model answer's. */
interface Solved {
  readonly site: Site
  readonly wanted: number
  readonly name: string
  readonly found: number
  readonly goal: number
  /** What one more in the number adds to the figure. */
  readonly slope: number
}

const solvedOf = new WeakMap<Scene, readonly Solved[]>()

function solved(scene: Scene): readonly Solved[] {
  const known = solvedOf.get(scene) ?? solve(scene)
  solvedOf.set(scene, known)
  return known
}

/** Operands that may be counts: how the figures move when one is changed says what it would have to be. */
function solve(scene: Scene): readonly Solved[] {
  const view = scene.main
  const { model } = view
  if (model === null) return []
  const stage = scene.mending.trial.stages.find(({ instance }) => instance.id === view.caseId)
  // One run for each operand: too dear where runs take minutes.
  if (stage === undefined || model.tStates > 40_000_000) return []
  const counts = scene.sites.filter(
    ({ form, value }) => /^LD (A|B|C|D|E|H|L|BC|DE|HL|IX|IY),nn?$/.test(form) && (value < 0x4000 || value > 0x5000),
  )
  const own = view.result
  const wrong = figures.flatMap((figure) => {
    const found = figure.of(own, scene)
    const goal = figure.of(model, scene)
    return found === null || goal === null || Math.abs(found - goal) <= goal * 0.0002 ? [] : [{ figure, found, goal }]
  })
  if (wrong.length === 0) return []
  return counts.flatMap((site) => {
    const limit = site.operand === 'nn' ? 0x10000 : 0x100
    const step = site.value + 1 < limit ? 1 : -1
    const image = scene.draft.poked(bytesFor(site, site.value + step))
    const { result } = scene.mending.trial.run(stage, image, Math.min(stage.request.budget, 1.5 * own.tStates + 1_000))
    return wrong.flatMap(({ figure, found, goal }): readonly Solved[] => {
      const other = figure.of(result, scene)
      const slope = other === null ? 0 : (other - found) / step
      if (slope === 0) return []
      const exact = site.value + (goal - found) / slope
      const wanted = [Math.round(exact), Math.floor(exact), Math.ceil(exact)].find((each) => each > 0 && each <= limit)
      return wanted === undefined || wanted === site.value
        ? []
        : [{ site, wanted, name: figure.name, found, goal, slope }]
    })
  })
}

function bytesFor({ operand, at }: Site, value: number): Readonly<Record<number, number>> {
  return operand === 'nn' ? { [at]: value & 0xff, [at + 1]: (value >> 8) & 0xff } : { [at]: value & 0xff }
}

const round = (value: number): string => String(Math.round(value))

const timeConstant: Detector = {
  id: 'time-constant',
  title: 'A number that decides how long is wrong',
  looksAt:
    'the counts of delays and rounds: what they would have to be for the model answer’s times, and whether that passes',
  *signs(scene) {
    const pokes = solved(scene).map(({ site, wanted, name, found, goal }): Poke => ({
      weight: 0.932,
      address: site.address,
      bytes: bytesFor(site, wanted),
      found: `${round(found)} ${name}`,
      wanted: `about ${round(goal)}`,
      message: `${site.text} at ${showWord(site.address)} decides how long it takes. Measured: ${round(found)} ${name}; wanted: about ${round(goal)}. Add up the T-states of one round and work the count out from them.`,
    }))
    yield* poked(scene, pokes)
    const failed = scene.failedOf('tones-in-turn', 'signs-in-turn', 'speaker', 'drift')
    const tables = scene.main.own.filter(
      ({ reads, text }) => /^LD/.test(text) && reads.some((address) => scene.isInside(address)),
    )
    // Without a table the pitch is a count in the program too.
    const isPitch = tables.length < 4
    const isLength = failed.filter(
      ({ check }) =>
        check.kind === 'drift' ||
        ['each', 'lengths', 'pauses', 'duration'].some((field) => field in check) ||
        (isPitch && 'frequencies' in check),
    )
    const [first] = isLength
    // Pitch and order are right, so it is how long that is wrong.
    if (first === undefined || isLength.length !== scene.failed.length) return
    yield {
      ...placeOf(first.result.decidedAt),
      weight: 0.74,
      checkIds: idsOf(isLength),
      found: first.result.measured ?? 'another length',
      wanted: first.result.wanted ?? 'the length of the task',
      message: `${first.result.message} What is played or shown is right, how long it lasts is not: work out the count from the T-states of one round.`,
    }
  },
}

const jumpTime: Detector = {
  id: 'jump-time',
  title: 'The jump’s time was counted as if it were not taken',
  looksAt: 'a count that is right for rounds in which the jump back takes its shorter time',
  *signs(scene) {
    const pokes = solved(scene).flatMap(({ site, wanted, name, found, goal, slope }): readonly Poke[] => {
      // JR and DJNZ take 5 T-states more when they jump (UM0080).
      const short = slope - 5
      const isShort =
        name === figures[0]?.name &&
        short > 0 &&
        slope / short > 1.03 &&
        Math.abs(site.value / wanted - slope / short) < 0.002
      if (!isShort) return []
      return [
        {
          weight: 0.97,
          address: site.address,
          bytes: bytesFor(site, wanted),
          found: `${round(found)} T, ${slope} for each round`,
          wanted: `${round(goal)} T`,
          message: `The count ${shown(site.value, site.operand === 'nn')} fits a round of ${short} T-states, but a round takes ${slope}: a relative jump that is taken needs 5 T-states more than one that is not.`,
        },
      ]
    })
    yield* poked(scene, pokes)
  },
}

const wavesForEdges: Detector = {
  id: 'waves-for-edges',
  title: 'Waves and edges were mixed up',
  looksAt: 'twice or half as many edges of the speaker as wanted, and a count that passes when doubled or halved',
  *signs(scene) {
    const view = scene.main
    const { model } = view
    if (model === null) return
    const { edges, durationTStates } = speakerOf(view.result, scene)
    const wanted = speakerOf(model, scene)
    const goal = wanted.edges
    const isNear = (figure: number, wish: number): boolean => Math.abs(figure - wish) <= Math.max(2, wish / 20)
    const isBy = (factor: number): boolean =>
      isNear(edges * factor, goal) && isNear(durationTStates * factor, wanted.durationTStates)
    const factor = edges > 4 ? [2, 0.5].find(isBy) : undefined
    if (factor === undefined) return
    const counts = scene.sites.filter(({ form }) => /^LD \w+,nn?$/.test(form))
    const telling = {
      found: `${edges} edges`,
      wanted: `${goal} edges`,
      message: `The speaker moves ${edges} times, and ${goal} times are wanted: ${factor === 2 ? 'half' : 'twice'} as many. One wave has two edges, one up and one down.`,
    }
    yield* poked(
      scene,
      counts
        .filter(
          ({ value, operand }) =>
            value * factor <= (operand === 'nn' ? 0xffff : 0x100) && Number.isInteger(value * factor),
        )
        .map((site): Poke => ({
          ...telling,
          weight: 0.97,
          address: site.address,
          bytes: bytesFor(site, site.value * factor),
        })),
    )
    const failed = scene.failedOf('speaker', 'tones-in-turn')
    if (failed.length > 0) yield { ...seenAtEnd(view), ...telling, weight: 0.9, checkIds: idsOf(failed) }
  },
}

const unevenHalves: Detector = {
  id: 'uneven-halves',
  title: 'The two halves of the wave are not alike',
  looksAt: 'a speaker that stands longer at one level than at the other',
  *signs(scene) {
    const failed = scene.failedOf('speaker').filter(({ result }) => result.decidedAt !== null)
    const [first] = failed
    if (first === undefined || first.result.decidedAt === null) return
    const view = scene.view(first.result.decidedAt.caseId)
    const { duty, edges, jitterTStates, frequencyHz } = speakerOf(view.result, scene)
    if (duty === null || jitterTStates === null || frequencyHz === null || edges < 6) return
    const half = scene.profile.clockHz / (2 * frequencyHz)
    if (Math.abs(duty - 0.5) < 0.03 && jitterTStates < half / 4) return
    const at = first.result.decidedAt
    const isUneven = Math.abs(duty - 0.5) >= 0.03
    yield {
      ...{ address: at.address, step: at.step, t: at.t, caseId: at.caseId },
      weight: isUneven ? 0.93 : 0.7,
      checkIds: idsOf(failed),
      found: isUneven
        ? `level 1 for ${Math.round(duty * 100)} % of the time`
        : `half waves that differ by ${jitterTStates} T`,
      wanted: 'two halves of the same length',
      message: `The speaker is at level 1 for ${Math.round(duty * 100)} % of the time, and its half waves differ by up to ${jitterTStates} T-states. Both halves of a wave need the same delay, on every way through the loop.`,
    }
  },
}

const outputLeftOn: Detector = {
  id: 'output-left-on',
  title: 'Something is still on at the end',
  looksAt: 'a speaker left at 1 or a digit left lit, where the model answer ends quiet and dark',
  *signs(scene) {
    for (const view of scene.views) {
      const { model, result } = view
      if (model === null || (result.end.kind !== 'halted' && result.end.kind !== 'returned')) continue
      yield* leftHigh(scene, view, model)
      yield* leftLit(scene, view, model)
    }
  },
}

function levelAtEnd({ events }: RunResult): number {
  let level = 0
  for (const event of events) if (event.kind === 'speaker-edge') level = event.level
  return level
}

function* leftHigh(scene: Scene, view: RunView, model: RunResult): Generator<Sign> {
  const failed = scene.failedOf('speaker').filter(({ check }) => 'endLevel' in check)
  if (failed.length === 0 || levelAtEnd(view.result) === 0 || levelAtEnd(model) !== 0) return
  const { edges } = speakerOf(view.result, scene)
  // Where whole tones are missing too it is what stopped them.
  const isWhole = Math.abs(edges - speakerOf(model, scene).edges) <= 2
  yield {
    ...seenAtEnd(view),
    weight: isWhole ? 0.96 : 0.7,
    checkIds: idsOf(failed),
    found: `the speaker at level 1 after ${edges} edges`,
    wanted: 'level 0',
    message: `The speaker ends at level 1: it moves ${edges} times, an odd number, and was at 0 before. An even number of edges, or a last OUT of 0, leaves it at rest.`,
  }
}

function* leftLit(scene: Scene, view: RunView, model: RunResult): Generator<Sign> {
  const { result } = view
  const failed = scene.failedOf('digits-seen').filter(({ check }) => check['darkAtEnd'] === true)
  const isDark = (each: RunResult): boolean => isDisplayDark(each.events, scene.profile, each.tStates)
  if (failed.length === 0 || isDark(result) || !isDark(model)) return
  yield {
    ...seenAtEnd(view),
    weight: failed.length === scene.failed.length ? 0.965 : 0.8,
    checkIds: idsOf(failed),
    found: 'a digit is still lit at the end',
    wanted: 'all digits dark',
    message:
      'The digit selected last is never switched off. On a real board it would stay lit, much brighter than in the sweep. Put 0 out to the digit select at the end.',
  }
}

const ghosting: Detector = {
  id: 'ghosting',
  title: 'A digit shows what belongs to its neighbour',
  looksAt: 'segments that change while a digit is on, more than in the model answer',
  *signs(scene) {
    const failed = scene.failedOf('digits-seen')
    if (failed.length === 0) return
    const view = scene.main
    const most = (result: RunResult): number =>
      Math.max(...measureDisplay(result.events, scene.profile, 0, result.tStates).digits.map(({ ghost }) => ghost))
    const found = most(view.result)
    const wanted = view.model === null ? 0 : most(view.model)
    if (found <= 0.01 || found <= 2 * wanted) return
    yield {
      ...seenAtEnd(view),
      ...placeOf(failed[0]?.result.decidedAt ?? null),
      weight: 0.925,
      checkIds: idsOf(failed),
      found: `a neighbour’s segments show for ${Math.round(found * 100)} % of the time a digit is on`,
      wanted: 'at most 1 %',
      message:
        'The segments change while a digit is on, so it shows those of its neighbour for a while. Switch all digits off, put out the new segments, then select the new digit.',
    }
  },
}

function placeOf(at: { caseId: string; step: number; t: number; address: number } | null): Partial<Sign> {
  return at === null ? {} : { caseId: at.caseId, step: at.step, t: at.t, address: at.address }
}

const sweepTooSlow: Detector = {
  id: 'sweep-too-slow',
  title: 'The display is swept too seldom',
  looksAt: 'digits that get their turn less than 60 times a second, where the model answer’s get theirs more often',
  *signs(scene) {
    const failed = scene.failedOf('digits-seen', 'signs-in-turn', 'shown-after-key')
    const view = scene.main
    const { model } = view
    if (failed.length === 0 || model === null) return
    const { clockHz } = scene.profile
    const found = sweepOf(view.result, scene)
    const goal = sweepOf(model, scene)
    const isSeldom = found !== null && goal !== null && clockHz / found < 60 && found > 1.15 * goal
    const dark = longestDark(view.result, scene)
    const isPaused = dark > clockHz / 60 && dark > 1.5 * longestDark(model, scene)
    if (!isSeldom && !isPaused) return
    const pause = view.facts.find(
      ({ kind, routine, tStates }) =>
        kind === 'firmware' && routine !== null && !/sweep/i.test(routine.summary) && tStates > clockHz / 200,
    )
    const seen = isSeldom
      ? `${Math.round(clockHz / found)} sweeps a second`
      : `the digits dark for ${Math.round((1000 * dark) / clockHz)} ms`
    yield {
      ...seenAtEnd(view),
      ...placeOf(failed[0]?.result.decidedAt ?? null),
      ...(pause === undefined ? {} : { address: pause.pc, step: pause.step, t: pause.t, caseId: view.caseId }),
      weight: pause === undefined ? 0.83 : 0.96,
      checkIds: idsOf(failed),
      found: seen,
      wanted: '60 sweeps a second or more, without a gap',
      message: `The eye sees the digits flicker: ${seen}. ${pause === undefined ? 'What else is done between two sweeps takes too long.' : `${pause.routine?.name ?? 'A routine'} waits while nothing is swept.`} Do not pause between sweeps.`,
    }
  },
}

/** Longest time that a digit is dark between two of its turns. */
function longestDark({ events, tStates }: RunResult, { profile }: Scene): number {
  return Math.max(
    ...measureDisplay(events, profile, 0, tStates).digits.map(({ longestDarkTStates }) => longestDarkTStates),
  )
}

const tooSlow: Detector = {
  id: 'too-slow',
  title: 'It takes too long',
  isConsequence: true,
  looksAt: 'right results that come after the time allowed',
  *signs(scene) {
    const failed = scene
      .failedOf('t-states', 'handler', 'drift')
      .filter(({ check }) => 'max' in check || 'maxTime' in check)
    const [first] = failed
    if (first === undefined) return
    const { decidedAt, measured, wanted } = first.result
    yield {
      ...placeOf(decidedAt),
      weight: scene.isFunctionWrong ? 0.5 : 0.9,
      checkIds: idsOf(failed),
      found: measured ?? 'more time than allowed',
      wanted: wanted ?? 'less time',
      message: `Measured: ${measured ?? 'more time than allowed'}; allowed: ${wanted ?? 'less'}. Look at the innermost loop: what need not be done in every round?`,
    }
  },
}

export const timing: readonly Detector[] = [
  wavesForEdges,
  jumpTime,
  timeConstant,
  unevenHalves,
  outputLeftOn,
  ghosting,
  sweepTooSlow,
  tooSlow,
]
