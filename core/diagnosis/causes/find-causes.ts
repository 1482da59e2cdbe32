import { withinWork } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { caseInstances } from '../../exercise/index.ts'
import type { Cause } from './cause.ts'
import type { Detector, Sign } from './detector.ts'
import { detectors, triesEdits } from './detectors.ts'
import { isInPlace, likelihood, type Slip } from './likelihood.ts'
import type { Mended } from './mending.ts'
import type { Scene } from './scene.ts'

/** Most causes told. */
const most = 6
/** Below this nobody would trust it. */
const leastCertainty = 0.3
/** To find where in the run a cause shows; what is not found then is told without its place. */
const workForPlace = 15_000_000
/** For the edit of a text that makes everything right. */
const workForSlip = 30_000_000
const nowhere = { step: null, t: null }
/** With an edit that makes everything right this is sure enough to look no further. */
const sureEdit = 0.9

export interface CauseOptions {
  /** Called after each detector; `false` ends the search. */
  readonly onProgress?: (progress: { readonly done: number; readonly total: number }) => boolean | void
  /** Units of work that the search may take; what was found until then is told. Unbounded unless given. */
  readonly work?: number
}

/**
 * Why a failing hand-in fails, likeliest first: the signs of every detector, those that are edits tried first. One cause
 * for each detector, with its best sign. Each detector has a little time at first; where no edit was found that makes
 * everything right, those that try edits have more.
 */
export function findCauses(scene: Scene, options: CauseOptions = {}): readonly Cause[] {
  const best = new Map<Detector, Candidate>()
  let isMended = false
  const again = detectors.filter(triesEdits)
  const total = detectors.length + again.length
  let done = 0
  const ask = (detector: Detector, round: 'first' | 'second'): boolean => {
    scene.mending.grant(round)
    for (const sign of detector.signs(scene)) {
      const mended = sign.image === undefined ? null : scene.mending.try(sign.image)
      if (sign.image !== undefined && mended === null) continue
      const weight = sign.weight * shareOf(mended)
      if (weight > (best.get(detector)?.weight ?? 0)) best.set(detector, { sign, mended, weight })
      if (isMended || mended?.isFull !== true || weight < sureEdit) continue
      isMended = true
      scene.mending.settle()
    }
    done += 1
    return options.onProgress?.({ done, total }) !== false
  }
  // One slip explains all that follows from it.
  const slipOfText = scene.isAssembly ? scene.lookForRepair(workForSlip) : null
  withinWork(options.work ?? Infinity, () => {
    const repair = scene.isAssembly ? slipOfText : scene.repair
    isMended = repair !== null && scene.mending.try(repair.image)?.isFull === true
    if (isMended) scene.mending.settle()
    const isAsked = detectors.every((detector) => ask(detector, 'first'))
    if (isAsked && !isMended) again.every((detector) => ask(detector, 'second'))
  })
  const slip = slipOf(scene, [...best.values()])
  return [...best]
    .map(([detector, candidate]) => {
      const { sign, mended, weight } = candidate
      return {
        detector,
        ...candidate,
        certainty: Math.round(1000 * weight * likelihood(scene, detector, sign, mended?.isFull === true, slip)) / 1000,
      }
    })
    .filter(({ certainty }) => certainty >= leastCertainty)
    .toSorted((a, b) => b.certainty - a.certainty)
    .slice(0, most)
    .map(({ detector, sign, mended, certainty }) => causeOf(scene, detector, sign, mended, certainty))
}

/** The best sign of a detector so far. */
interface Candidate {
  readonly sign: Sign
  readonly mended: Mended | null
  readonly weight: number
}

/** The edit that makes everything right; in a program of bytes it is of one byte, or of the two of a word. */
function slipOf(scene: Scene, candidates: readonly Candidate[]): Slip | null {
  if (scene.repair !== null || scene.isAssembly) return scene.repair
  const inPlace = candidates.find(
    ({ sign: { image }, mended }) =>
      mended?.isFull === true && image !== undefined && isInPlace(image, scene.draft.image),
  )
  return inPlace === undefined ? null : { kind: 'replace', at: inPlace.sign.address ?? 0, tier: null }
}

function causeOf(scene: Scene, { id, title }: Detector, sign: Sign, mended: Mended | null, certainty: number): Cause {
  const checkIds = explained(scene, sign, mended)
  const caseId = caseOf(scene, sign, checkIds)
  const address = sign.address ?? null
  const { step, t } = withinWork(workForPlace, () => placed(scene, sign, caseId, address))?.value ?? nowhere
  return {
    id,
    title,
    message: withSmallH(sign.message),
    caseId,
    step,
    t,
    address,
    line: lineAt(scene, address),
    found: withSmallH(sign.found),
    wanted: withSmallH(sign.wanted),
    card: id,
    checkIds,
    certainty,
    isVisible: isVisible(scene, sign, caseId, checkIds),
  }
}

/** `LD A,(4600h)`: the disassembler’s large H is a small one in sentences, as in the addresses beside it. */
function withSmallH(text: string): string {
  return text.replace(/\b(\d[0-9A-F]*)H\b/g, '$1h')
}

/** An edit that makes only some of the failed checks right may be one of several mistakes, or no mistake at all. */
function shareOf(mended: Mended | null): number {
  return mended === null || mended.isFull ? 1 : 0.6 + 0.36 * mended.part
}

function explained(scene: Scene, sign: Sign, mended: Mended | null): readonly string[] {
  if (sign.checkIds !== undefined) return sign.checkIds
  if (mended !== null) return mended.checkIds
  const { caseId } = sign
  const own = scene.failed.filter(({ result }) => caseId === undefined || result.decidedAt?.caseId === caseId)
  return (own.length > 0 ? own : scene.failed).map(({ check }) => check.id)
}

function caseOf(scene: Scene, { caseId }: Sign, checkIds: readonly string[]): string {
  if (caseId !== undefined) return caseId
  const decided = scene.failed
    .filter(({ check }) => checkIds.includes(check.id))
    .map(({ result }) => result.decidedAt?.caseId)
  return decided.includes(scene.mainCase)
    ? scene.mainCase
    : (decided.find((each) => each !== undefined) ?? scene.mainCase)
}

/** Where it shows in the run: as the sign says, else at the first execution of its address. */
function placed(
  scene: Scene,
  sign: Sign,
  caseId: string,
  address: Addr | null,
): { readonly step: number | null; readonly t: number | null } {
  if (sign.step !== undefined) return { step: sign.step, t: sign.t ?? null }
  const fact = address === null ? null : scene.view(caseId).firstAt(address)
  return { step: fact?.step ?? null, t: fact?.t ?? null }
}

function lineAt({ program, isAssembly }: Scene, address: Addr | null): number | null {
  if (!isAssembly || address === null) return null
  const line = program.listing.find(
    (each) => each.address !== null && address >= each.address && address < each.address + each.bytes.length,
  )
  return line?.calledFrom ?? line?.line ?? null
}

/** Shown on a case that students see, and explaining a check that they see. */
function isVisible(scene: Scene, sign: Sign, caseId: string, checkIds: readonly string[]): boolean {
  const isCaseVisible = caseInstances(scene.exercise).find(({ id }) => id === caseId)?.isVisible ?? false
  // Where checks are named the words may be those of the first.
  const asked = sign.checkIds === undefined ? checkIds : checkIds.slice(0, 1)
  const isCheckVisible = scene.failed.some(({ check }) => check.visible && asked.includes(check.id))
  return isCaseVisible && isCheckVisible
}
