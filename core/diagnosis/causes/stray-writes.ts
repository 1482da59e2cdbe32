import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import { atText, edited, idsOf, seenAt } from './signs.ts'

const strayWrite: Detector = {
  id: 'stray-write',
  title: 'Something is written where nothing should be',
  looksAt: 'stores to places that the task leaves alone, which pass when left out',
  *signs(scene) {
    const failed = scene.failed.filter(
      ({ check }) => check.kind === 'memory' && ('noOtherWrite' in check || 'elsewhere' in check),
    )
    const [first] = failed
    if (first === undefined) return
    const { decidedAt, message } = first.result
    const at = decidedAt?.address ?? 0
    const line = scene.draft.at(at)
    const telling = {
      address: at,
      found: first.result.measured ?? 'another write',
      wanted: first.result.wanted ?? 'nothing else written',
      message: `${message} ${line === null ? '' : `${atText(line)} did that.`}`.trim(),
    }
    if (!/write to|changed to/.test(first.result.measured ?? '')) return
    if (line !== null) yield* edited(scene, [{ ...telling, weight: 0.93, changes: { instead: { [line.index]: '' } } }])
    const place = decidedAt === null ? {} : { caseId: decidedAt.caseId, step: decidedAt.step, t: decidedAt.t }
    yield { ...telling, ...place, weight: scene.failed.length === failed.length ? 0.85 : 0.58, checkIds: idsOf(failed) }
  },
}

const writesOwnCode: Detector = {
  id: 'writes-own-code',
  title: 'The program overwrites itself',
  looksAt: 'stores into the bytes of the program',
  *signs(scene) {
    const failed = scene.failedOf('writes-own-code')
    for (const view of scene.views) {
      const fact = view.own.find(
        ({ text, writes }) => !/^(PUSH|CALL|RST)/.test(text) && writes.some(({ address }) => scene.isInside(address)),
      )
      if (fact === undefined) continue
      const address = fact.writes.find((write) => scene.isInside(write.address))?.address ?? 0
      const isExecuted = view.own.some(
        ({ pc, bytes, step }) => step > fact.step && address >= pc && address < pc + bytes.length,
      )
      if (!isExecuted && failed.length === 0) continue
      yield {
        ...seenAt(view, fact),
        weight: failed.length > 0 ? 0.97 : 0.9,
        ...(failed.length > 0 ? { checkIds: idsOf(failed) } : {}),
        found: `${fact.text} writes to ${showWord(address)}, inside the program`,
        wanted: 'data outside the program',
        message: `${fact.text} at ${showWord(fact.pc)} writes to ${showWord(address)}. There stands the program itself, so it is changed while it runs.`,
      }
      return
    }
  },
}

/** Stores to where nothing should be stored. */
export const strayWrites: readonly Detector[] = [strayWrite, writesOwnCode]
