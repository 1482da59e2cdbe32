import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { Fact } from './facts.ts'
import type { RunView } from './scene.ts'
import { atText, edited, poked, seenAt, type Edit, type Poke } from './signs.ts'

const exchanged: Detector = {
  id: 'source-and-target-swapped',
  title: 'From and to are the wrong way round',
  looksAt: 'block moves that pass with HL and DE exchanged, loads that pass with their operands exchanged',
  *signs(scene) {
    const { draft } = scene
    const blocks = draft.lines.filter(({ mnemonic }) => /^LD[ID]R?$/.test(mnemonic))
    yield* edited(
      scene,
      blocks.map((line): Edit => ({
        weight: 0.965,
        address: line.address,
        changes: { inside: { [line.index]: 'EX DE,HL' } },
        found: `${line.mnemonic} copies from the address that is meant as target`,
        wanted: 'HL from, DE to',
        message: `${line.mnemonic} at ${showWord(line.address)} copies from (HL) to (DE). Here HL holds the address to copy to and DE the one to copy from.`,
      })),
    )
    const loads = draft.lines.filter(({ mnemonic, operands }) => mnemonic === 'LD' && operands.length === 2)
    yield* edited(
      scene,
      loads.map((line): Edit => ({
        weight: 0.93,
        address: line.address,
        changes: { instead: { [line.index]: `LD ${line.operands[1] ?? ''},${line.operands[0] ?? ''}` } },
        found: atText(line),
        wanted: 'the other direction',
        message: `${atText(line)} moves in the wrong direction: LD writes what stands behind the comma into what stands before it.`,
      })),
    )
  },
}

const copyDirection: Detector = {
  id: 'copy-direction',
  title: 'The block is copied in the wrong direction',
  looksAt:
    'LDIR that passes as LDDR or the other way round, and block moves that read what they have written themselves',
  *signs(scene) {
    const opposite: Readonly<Record<number, number>> = { 0xb0: 0xb8, 0xb8: 0xb0, 0xa0: 0xa8, 0xa8: 0xa0 }
    const sites = scene.sites.filter(({ form }) => /^LD[ID]R?$/.test(form))
    yield* poked(
      scene,
      sites.map((site): Poke => ({
        weight: 0.955,
        address: site.address,
        bytes: { [site.address + 1]: opposite[site.bytes[1] ?? 0] ?? 0 },
        found: `${site.text} goes ${/I/.test(site.form.slice(2)) ? 'up' : 'down'} from the addresses in HL and DE`,
        wanted: 'the other direction',
        message: `${site.text} at ${showWord(site.address)} goes the wrong way: LDIR begins at the lowest address and counts up, LDDR begins at the highest and counts down.`,
      })),
    )
    for (const view of scene.views) {
      const read = readsOwnWrite(view)
      if (read === null) continue
      const [address = 0] = read.reads
      yield {
        ...seenAt(view, read),
        weight: 0.935,
        found: `${read.text} reads ${showWord(address)} after it has overwritten it`,
        wanted: 'each byte read before it is overwritten',
        message: `${read.text} at ${showWord(read.pc)} comes to ${showWord(address)} when it has already written there: the areas overlap. When the copy goes to higher addresses begin at the end (LDDR), when it goes to lower ones begin at the start (LDIR).`,
      }
      return
    }
  },
}

/** A round of a block move that reads what an earlier round of it has written. */
function readsOwnWrite(view: RunView): Fact | null {
  let written = new Set<number>()
  let before: Fact | null = null
  for (const fact of view.own) {
    const isBlock = /^LD[ID]R$/.test(fact.text)
    if (!isBlock || before?.pc !== fact.pc) written = new Set()
    if (isBlock && fact.reads.some((address) => written.has(address))) return fact
    if (isBlock) for (const { address } of fact.writes) written.add(address)
    before = fact
  }
  return null
}

const overwritten: Detector = {
  id: 'overwritten-before-read',
  title: 'A byte is overwritten before it was read',
  looksAt: 'given bytes that are written first and read later',
  *signs(scene) {
    const view = scene.main
    const given = new Set<number>()
    for (const { at, bytes } of view.request.given.memory) bytes.forEach((_, i) => given.add(at + i))
    const read = new Set<number>()
    const written = new Map<number, Fact>()
    for (const fact of view.own) {
      const isBlock = /^(LD[ID]R?|POP|RET)/.test(fact.text)
      for (const address of fact.reads) {
        const writer = written.get(address)
        if (!isBlock && writer !== undefined && !read.has(address)) {
          yield {
            ...seenAt(view, writer),
            weight: 0.925,
            found: `${showWord(address)} is overwritten before anything has read it`,
            wanted: 'its first value kept somewhere',
            message: `${writer.text} at ${showWord(writer.pc)} overwrites ${showWord(address)}, and ${fact.text} at ${showWord(fact.pc)} reads it only afterwards: the byte that stood there is gone. Keep it in a register first.`,
          }
          return
        }
        read.add(address)
      }
      for (const { address } of fact.writes)
        if (given.has(address) && !isBlock && !read.has(address)) written.set(address, fact)
    }
  },
}

/** Bytes moved the wrong way, or in the wrong order. */
export const moves: readonly Detector[] = [exchanged, copyDirection, overwritten]
