import type { Addr } from '../../cpu/index.ts'
import type { Image } from '../../image/index.ts'
import type { Repair } from '../nearest/repair.ts'
import type { Sign } from './detector.ts'
import type { Scene } from './scene.ts'

/** Of a sign that the one wrong byte in a keyed program explains as well. */
const ofConsequence = 0.94
/** An instruction has four bytes at most. */
const longest = 3

/**
 * How much a sign counts beside what else is known, 0 to 1. Where one byte makes everything right in a program that was keyed
 * as bytes (`slip`), what is seen elsewhere in the run follows from that byte, and whole instructions more or less are
 * unlikely.
 */
export function likelihood(
  scene: Scene,
  { image, address, isKeyed = false }: Sign,
  slip: Pick<Repair, 'kind' | 'at'> | null,
): number {
  if (slip === null || isKeyed) return 1
  if (image !== undefined) return isInPlace(image, scene.draft.image) ? 1 : ofConsequence
  return slip.kind === 'insert' && isNear(address ?? null, slip.at) ? 1 : ofConsequence
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
