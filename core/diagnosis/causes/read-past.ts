import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { Fact } from './facts.ts'
import type { RunView, Scene } from './scene.ts'
import { seenAt } from './signs.ts'

/** A pointer that runs on behind its data. */
export const pointerNotReset: Detector = {
  id: 'pointer-not-reset',
  title: 'The pointer is not set back to the start',
  isConsequence: true,
  looksAt: 'an instruction that reads on behind the end of the data that it has read through',
  *signs(scene) {
    for (const view of scene.views) {
      const past = readPast(scene, view) ?? readUnset(scene, view)
      if (past === null) continue
      const { fact, from, to, address } = past
      yield {
        ...seenAt(view, fact),
        weight: 0.925,
        found: `${fact.text} reads ${showWord(address)}, behind the last byte at ${showWord(to)}`,
        wanted: `back to ${showWord(from)} after ${showWord(to)}`,
        message: `${fact.text} at ${showWord(fact.pc)} has read ${showWord(from)} to ${showWord(to)} and goes on with ${showWord(address)} behind it. After the last byte the pointer has to be set back to the first.`,
      }
      return
    }
  },
}

interface ReadPast {
  readonly fact: Fact
  readonly from: number
  readonly to: number
  readonly address: number
}

/** A read that has gone through a whole block of given bytes, or the digit buffer, and far on behind it. */
function readPast(scene: Scene, view: RunView): ReadPast | null {
  const blocks = givenBlocks(scene, view)
  for (const { from, to } of blocks) {
    const next = new Map<number, number>()
    for (const fact of view.own) {
      const [address] = fact.reads
      if (address === undefined || !/\((HL|DE|BC|I[XY])/.test(fact.text)) continue
      const wanted = next.get(fact.pc)
      if (address === from) next.set(fact.pc, from + 1)
      else if (wanted === address) next.set(fact.pc, address + 1)
      else next.delete(fact.pc)
      // As far again as the block is long: not one round too many.
      if (wanted === address && address > to + (to - from + 1)) return { fact, from, to, address: to + 1 }
    }
  }
  return null
}

/** A read of RAM that holds nothing of the task, right behind a block that the same instruction has read from. */
function readUnset(scene: Scene, view: RunView): ReadPast | null {
  const { layout } = scene.profile
  const written = new Set<number>()
  const last = new Map<number, number>()
  const blocks = givenBlocks(scene, view)
  for (const fact of view.own) {
    const [address] = fact.reads
    if (address !== undefined && /\((HL|DE|BC|I[XY])/.test(fact.text) && !written.has(address)) {
      const block = blocks.find(({ from, to }) => address >= from && address <= to)
      const before = blocks.find(({ to }) => address > to && address <= to + 8)
      const isRam = address >= layout.program && address < layout.stackTop - 64 && !scene.isInside(address)
      const came = last.get(fact.pc)
      if (block === undefined && before !== undefined && isRam && came === before.to)
        return { fact, ...before, address }
      last.set(fact.pc, address)
    }
    for (const write of fact.writes) written.add(write.address)
  }
  return null
}

function givenBlocks({ profile }: Scene, view: RunView): readonly { readonly from: number; readonly to: number }[] {
  const { layout, display } = profile
  return [
    { from: layout.digitBuffer, to: layout.digitBuffer + display.digits - 1 },
    ...view.request.given.memory
      .filter(({ bytes }) => bytes.length > 2)
      .map(({ at, bytes }) => ({ from: at, to: at + bytes.length - 1 })),
  ]
}
