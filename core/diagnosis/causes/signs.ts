import type { Addr, Byte } from '../../cpu/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import type { Sign } from './detector.ts'
import type { Changes, DraftLine } from './draft.ts'
import type { Fact } from './facts.ts'
import type { RunView, Scene } from './scene.ts'

/** What an edit would be a sign of. */
export interface Telling {
  readonly weight: number
  readonly address: Addr
  readonly found: string
  readonly wanted: string
  readonly message: string
}

/** Bytes changed in their places. */
export interface Poke extends Telling {
  readonly bytes: Readonly<Record<Addr, Byte>>
}

/** Each of these alone, then those together that each make something right, then all of them. */
export function* poked(scene: Scene, pokes: readonly Poke[]): Generator<Sign> {
  const good: Poke[] = []
  for (const poke of pokes) {
    const image = scene.draft.poked(poke.bytes)
    const mended = scene.mending.try(image)
    if (mended !== null) yield { ...telling(poke), image }
    if (mended?.isFull === true) return
    if (mended !== null && !good.some((other) => overlaps(other, poke))) good.push(poke)
  }
  const [first] = good
  const places = new Set(pokes.map(({ address }) => address))
  if (first !== undefined && good.length > 1) yield together(scene, good)
  if (first === undefined && pokes.length > 1 && places.size === pokes.length) yield together(scene, pokes)
}

function overlaps(a: Poke, b: Poke): boolean {
  return Object.keys(a.bytes).some((address) => address in b.bytes)
}

function together(scene: Scene, pokes: readonly Poke[]): Sign {
  const bytes = Object.assign({}, ...pokes.map((poke) => poke.bytes)) as Record<Addr, Byte>
  const [first] = pokes
  if (first === undefined) throw new Error('nothing to put together')
  const others = pokes.slice(1).map(({ address }) => showWord(address))
  const message = `${first.message} The same at ${others.join(', ')}.`
  return { ...telling(first), message, image: scene.draft.poked(bytes) }
}

function telling({ weight, address, found, wanted, message }: Telling): Sign {
  return { weight, address, found, wanted, message }
}

/** Instructions changed in the text. */
export interface Edit extends Telling {
  readonly changes: Changes
}

/** Each of these alone; then those together that each make something right, or all where none does. */
export function* edited(scene: Scene, edits: readonly Edit[], isTriedTogether = false): Generator<Sign> {
  const good: Edit[] = []
  for (const edit of edits) {
    const image = scene.draft.changed(edit.changes)
    if (image === null) continue
    const mended = scene.mending.try(image)
    if (mended !== null) yield { ...telling(edit), image }
    if (mended?.isFull === true) return
    if (mended !== null) good.push(edit)
  }
  const group = good.length > 1 ? good : good.length === 0 && isTriedTogether && edits.length > 1 ? edits : []
  const [first] = group
  if (first === undefined) return
  const image = scene.draft.changed(merged(group.map(({ changes }) => changes)))
  if (image === null) return
  const others = group.slice(1).map(({ address }) => showWord(address))
  yield { ...telling(first), message: `${first.message} The same at ${others.join(', ')}.`, image }
}

function merged(all: readonly Changes[]): Changes {
  const part = (name: keyof Changes): Readonly<Record<number, string>> =>
    Object.assign({}, ...all.map((changes) => changes[name] ?? {})) as Record<number, string>
  return { instead: part('instead'), before: part('before'), inside: part('inside'), after: part('after') }
}

/** A number of one or two bytes as it is written here. */
export function shown(value: number, isWord: boolean): string {
  return isWord ? showWord(value & 0xffff) : showByte(value & 0xff)
}

/** `LD A,(COUNT) at 4002h`. */
export function atText(line: Pick<DraftLine, 'text' | 'address'>): string {
  return `${line.text} at ${showWord(line.address)}`
}

/** Where something was seen: for a sign that is no edit. */
export function seenAt(view: RunView, fact: Fact): Pick<Sign, 'address' | 'step' | 't' | 'caseId'> {
  return { address: fact.pc, step: fact.step, t: fact.t, caseId: view.caseId }
}

/** At the end of a run. */
export function seenAtEnd(view: RunView): Pick<Sign, 'address' | 'step' | 't' | 'caseId'> {
  const { lastPc, steps, tStates } = view.result
  return { address: lastPc, step: steps, t: tStates, caseId: view.caseId }
}

/** The ids of checks. */
export function idsOf(failed: readonly { readonly check: { readonly id: string } }[]): readonly string[] {
  return failed.map(({ check }) => check.id)
}
