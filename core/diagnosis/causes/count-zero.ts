import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { Fact } from './facts.ts'
import { loopsOf } from './loops-of.ts'
import type { RunView, Scene } from './scene.ts'
import { edited, seenAt, type Edit } from './signs.ts'

/** A count of 0 that nobody thought of. */
export const countZero: Detector = {
  id: 'count-zero',
  title: 'A count of 0 is not tested',
  looksAt: 'a loop or a block instruction that begins with 0 in its counter',
  *signs(scene) {
    if (!scene.isFunctionWrong) return
    for (const view of scene.views) {
      const zero = zeroEntry(scene, view)
      if (zero === null) continue
      const { fact, counter, rounds } = zero
      const line = scene.draft.at(fact.pc)
      const loop = loopsOf(scene).find(({ end }) => end.address === fact.pc)
      const telling = {
        address: fact.pc,
        found: `${counter} = 0 at the start, so ${rounds} rounds`,
        wanted: 'no round at all',
        message: `${fact.text} at ${showWord(fact.pc)} begins with ${counter} = 0. It counts down first and tests then, so 0 means ${rounds} rounds. Test the count before the loop if it can be 0.`,
      }
      const place = loop?.start ?? line
      if (place !== null) {
        const test = counter === 'BC' ? 'LD A,B\nOR C' : `INC ${counter}\nDEC ${counter}`
        const end = scene.draft.lines.slice(place.index).find(({ mnemonic }) => /^(RET|HALT)$/.test(mnemonic))
        const behind = loop === undefined ? undefined : scene.draft.lines[loop.end.index + 1]
        const targets = [end, behind].flatMap((target) => (target === undefined ? [] : [target.address]))
        const edits = targets.map((target): Edit => ({
          ...telling,
          weight: 0.97,
          changes: { before: { [place.index]: `${test}\nJP Z,${target}+5` } },
        }))
        yield* edited(scene, edits)
      }
      yield { ...telling, ...seenAt(view, fact), weight: 0.94 }
      return
    }
  },
}

interface ZeroEntry {
  readonly fact: Fact
  readonly counter: string
  readonly rounds: string
}

function zeroEntry(scene: Scene, view: RunView): ZeroEntry | null {
  // A counter that the program itself loads with 0 is meant: 256 rounds.
  const constants = new Set(
    scene.sites
      .filter(({ form, value }) => /^LD (B|C|D|E|BC|DE|HL),nn?$/.test(form) && (value & 0xff) * (value >> 8) === 0)
      .map(({ address }) => address),
  )
  const loops = loopsOf(scene)
  const writer = new Map<string, number>()
  let before: Fact | null = null
  for (const fact of view.facts) {
    const isConstant = (half: string): boolean => constants.has(writer.get(half) ?? -1)
    const isEntered = before?.pc !== fact.pc
    const isCounter = (half: string): boolean => writer.get(half) !== fact.pc && !isConstant(half)
    if (fact.text.startsWith('DJNZ') && fact.before.bc >> 8 === 0 && isCounter('B'))
      return { fact, counter: 'B', rounds: '256' }
    if (/^(LD[ID]R|CP[ID]R)$/.test(fact.text) && isEntered && fact.before.bc === 0 && isCounter('B')) {
      return { fact, counter: 'BC', rounds: '65,536' }
    }
    const [, pair = ''] = /^DEC (BC|DE|HL)$/.exec(fact.text) ?? []
    const isLoop = loops.some(
      ({ counter, start, end }) => counter === pair && fact.pc >= start.address && fact.pc < end.address,
    )
    if (pair !== '' && isLoop && fact.before[pair.toLowerCase() as 'bc'] === 0 && isCounter(pair[0] ?? '')) {
      return { fact, counter: pair, rounds: '65,536' }
    }
    if (fact.kind === 'own') for (const half of fact.use.writes) writer.set(half, fact.pc)
    else for (const half of fact.routine?.changes ?? []) writer.set(half, fact.pc)
    before = fact
  }
  return null
}
