import type { Addr } from '../../cpu/index.ts'
import type { Image } from '../../image/index.ts'
import type { Repair } from '../nearest/repair.ts'
import type { Detector, Sign } from './detector.ts'
import type { Scene } from './scene.ts'

/** Of a sign that the one wrong byte in a keyed program explains as well. */
const ofConsequence = 0.94
/** Up to this tier an edit that mends is the slip that was made; behind it another that mends may tell it better. */
const sureTier = 1
/** What comes of a mistake, where an instruction put in makes everything right. */
const ofConsequenceOfGap = 0.8
/** An instruction has four bytes at most. */
const longest = 3

/** The edit that makes everything right, as far as it decides what else is believed. */
export type Slip = Pick<Repair, 'kind' | 'at' | 'tier'>

/**
 * How much a sign counts beside what else is known, 0 to 1. An edit of the text that makes everything right silences what is
 * seen at other places; but an instruction put in may mend what was wrong elsewhere, so that only what comes of a mistake
 * yields to it. Where one byte makes everything right in a program that was keyed as bytes, what is seen elsewhere in the
 * run follows from that byte, and whole instructions more or less are unlikely.
 */
export function likelihood(
  scene: Scene,
  detector: Detector,
  sign: Sign,
  isMending: boolean,
  slip: Slip | null,
): number {
  const { image, address = null, isKeyed = false } = sign
  if (slip === null) return 1
  if (scene.isAssembly) {
    if (isAtSlip(scene, address, slip)) return 1
    if (slip.kind !== 'inserted') {
      const isOther = isMending ? (slip.tier ?? 0) > sureTier : isWeak(slip) && detector.isConsequence !== true
      return isOther ? ofConsequence : 0
    }
    return detector.isConsequence === true && !isMending ? ofConsequenceOfGap : 1
  }
  if (isKeyed) return 1
  if (image !== undefined) return isInPlace(image, scene.draft.image) ? 1 : ofConsequence
  return slip.kind === 'insert' && isNear(address, slip.at) ? 1 : ofConsequence
}

/** Mended by another order or operation a program may have gone wrong for a reason that is seen elsewhere. */
function isWeak({ kind }: Slip): boolean {
  return kind === 'order' || kind === 'dropped' || kind === 'operation'
}

/** In the instruction or the byte of data that is edited, or one beside it. */
function isAtSlip({ draft }: Scene, address: Addr | null, { at }: Slip): boolean {
  if (address === null) return false
  if (Math.abs(address - at) <= longest) return true
  const [own, edited] = [draft.around(address), draft.around(at)]
  // Data lie behind the last instruction, and far behind it those of the task.
  if (own === null || edited === null || address > own.address + longest || at > edited.address + longest) return false
  return Math.abs(own.index - edited.index) <= 1
}

function isNear(address: Addr | null, at: Addr): boolean {
  return address !== null && at >= address && at <= address + longest
}

/** The same places with at most two other bytes: a number or an operation changed where it stands. */
export function isInPlace(image: Image, before: Image): boolean {
  if (image.segments.length !== before.segments.length) return false
  let others = 0
  for (const [i, { start, bytes }] of image.segments.entries()) {
    const old = before.segments[i]
    if (old === undefined || old.start !== start || old.bytes.length !== bytes.length) return false
    for (const [k, byte] of bytes.entries()) if (byte !== old.bytes[k]) others += 1
  }
  return others <= 2
}
