import { showByte, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { RunView, Scene } from './scene.ts'
import { idsOf, seenAt, seenAtEnd } from './signs.ts'

/** Where nothing says more: a register counted past its last value. */
export const limitNotTested: Detector = {
  id: 'limit-not-tested',
  title: 'A counter is not set back at its limit',
  looksAt: 'a byte counted up past its largest value, where the model answer begins again',
  *signs(scene) {
    yield* boundaryCases(scene)
    yield* pastBorder(scene)
    yield* missingComparison(scene)
    for (const view of scene.views) {
      const over = view.wrongBytes.find(
        ({ address, found, wanted }) =>
          found > wanted && wanted <= 1 && found >= 0x0a && wasCounted(view, address, found),
      )
      if (over === undefined) continue
      const writer = view.lastWriter(over.address)
      yield {
        ...(writer === null ? seenAtEnd(view) : seenAt(view, writer)),
        weight: 0.85,
        found: `${showByte(over.found)} at ${showWord(over.address)}`,
        wanted: showByte(over.wanted),
        message: `${showWord(over.address)} was counted up to ${showByte(over.found)}; there it should have gone back to ${showByte(over.wanted)}. Compare it with its limit after each step, and carry into the next place.`,
      }
      return
    }
  },
}

/** A store that goes outside in some cases only. */
function* pastBorder(scene: Scene): Generator<Sign> {
  const failed = scene.failed.filter(
    ({ check }) =>
      check.kind === 'writes-own-code' ||
      (check.kind === 'memory' && ('elsewhere' in check || 'noOtherWrite' in check)),
  )
  const [first] = failed.filter(({ check }) => scene.mending.isFailingInSome(check.id))
  if (first === undefined) return
  const at = first.result.decidedAt
  yield {
    ...(at === null ? { address: null } : { caseId: at.caseId, step: at.step, t: at.t, address: at.address }),
    weight: 0.75,
    checkIds: idsOf([first, ...failed.filter((each) => each !== first)]),
    found: first.result.measured ?? 'a store outside',
    wanted: 'a test of the place before the store',
    message: `${first.result.message} In other cases the stores stay where they belong: what is missing is a test of the place, at both ends, before the store.`,
  }
}

/** The model answer compares with a limit and the hand-in does not. */
function* missingComparison(scene: Scene): Generator<Sign> {
  const limits = (lines: readonly DraftLine[]): readonly string[] =>
    lines.filter(({ mnemonic }) => mnemonic === 'CP').map(({ plain }) => plain[0] ?? '')
  const wanted = limits(scene.modelLines)
  const own = limits(scene.draft.lines)
  if (
    !scene.isFunctionWrong ||
    wanted.length <= own.length ||
    !wanted.some((limit) => !own.includes(limit) && /\d/.test(limit))
  )
    return
  yield {
    weight: 0.64,
    address: null,
    found: `${own.length === 0 ? 'no comparison' : `comparisons with ${own.join(', ')} only`}`,
    wanted: 'a comparison with the limit too',
    message:
      'Nothing compares with one of the limits of the task. Try the largest value that is allowed and the one behind it.',
  }
}

/** Values at the edge that the model answer turns down at once and the hand-in works on. */
function* boundaryCases(scene: Scene): Generator<Sign> {
  const failing = new Set(scene.mending.failingCases)
  if (!scene.isFunctionWrong || failing.size === 0) return
  const { stages } = scene.mending.trial
  const times = stages.map(({ instance, model }) => ({
    id: instance.id,
    model: model?.tStates ?? 0,
    own: scene.report.cases.find(({ id }) => id === instance.id)?.tStates ?? 0,
  }))
  const isEarly = ({ model, own }: { readonly model: number; readonly own: number }): boolean => model < 0.6 * own
  const wrong = times.filter(({ id }) => failing.has(id))
  const right = times.filter(({ id }) => !failing.has(id))
  const [first] = wrong
  if (
    first === undefined ||
    right.length < 2 ||
    !wrong.every(isEarly) ||
    right.filter(isEarly).length > right.length / 4
  )
    return
  yield {
    weight: 0.8,
    caseId: first.id,
    address: null,
    found: `${first.own} T-states of work on values that should be turned down`,
    wanted: 'a test before the work begins',
    message:
      'Usual values come out right; those at the edge of what is allowed do not, because nothing looks at them before the work begins. Compare with the smallest and the largest value that is allowed.',
  }
}

/** Whether a byte was one less before its last write. */
function wasCounted(view: RunView, address: number, found: number): boolean {
  const writer = view.lastWriter(address)
  const before = writer?.writes.find((write) => write.address === address)?.before ?? -1
  return before === found - 1 || before + 6 === found - 1
}
