import { byteDigits, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { Scene } from './scene.ts'
import { idsOf, poked, seenAt, type Poke } from './signs.ts'

const wrongData: Detector = {
  id: 'wrong-data',
  title: 'A byte of data is wrong',
  looksAt: 'bytes of the program that are read and never executed, with another value that passes',
  *signs(scene) {
    const executed = new Set<number>()
    for (const view of scene.views) for (const { pc, bytes } of view.own) bytes.forEach((_, i) => executed.add(pc + i))
    const data = scene.program.image.segments
      .flatMap(({ start, bytes }) => Array.from(bytes, (_, i) => start + i))
      .filter((address) => !executed.has(address))
    const wrong = scene.views.flatMap(({ wrongBytes }) => wrongBytes.slice(0, 16))
    const pokes = data.flatMap((address): readonly Poke[] => {
      const found = scene.draft.byte(address)
      const wanted = new Set(wrong.filter((byte) => byte.found === found).map((byte) => byte.wanted))
      return [...wanted].slice(0, 2).map((value) => dataPoke(scene, address, found, value))
    })
    yield* poked(scene, pokes.slice(0, 64))
    yield* wrongTable(scene, executed)
    const { repair } = scene
    if (repair?.kind === 'replace' && !executed.has(repair.at)) {
      yield { ...dataPoke(scene, repair.at, repair.found[0] ?? 0, repair.wouldBe[0] ?? 0), image: repair.image }
    }
  },
}

/** Tones or signs that come from a table of the program and are wrong, while everything about their time is right. */
function* wrongTable(scene: Scene, executed: ReadonlySet<number>): Generator<Sign> {
  const failed = scene.failedOf('tones-in-turn', 'signs-in-turn', 'digit-buffer', 'digits-seen')
  const times = ['each', 'lengths', 'pauses', 'maxGap', 'starts']
  const [first] = failed.filter(({ check }) => !times.some((field) => field in check))
  if (first === undefined) return
  const view = scene.main
  const readers = view.own.filter(({ reads }) =>
    reads.some((address) => scene.isInside(address) && !executed.has(address)),
  )
  const places = new Set(readers.flatMap(({ reads }) => reads))
  const reader = readers[0]
  if (reader === undefined || places.size < 4) return
  const at = first.result.decidedAt
  yield {
    ...seenAt(view, reader),
    ...(at === null ? {} : { caseId: at.caseId, step: at.step, t: at.t }),
    weight: 0.69,
    checkIds: idsOf([first, ...failed.filter((each) => each !== first)]),
    found: first.result.measured ?? 'another result',
    wanted: first.result.wanted ?? first.result.title,
    message: `${first.result.message} The values come from the table that ${reader.text} at ${showWord(reader.pc)} reads: work them out once more.`,
  }
}

function dataPoke(scene: Scene, address: number, found: number, wanted: number): Poke {
  // One digit in a keyed program is a slip of the fingers before it is a wrong thought.
  const isOneDigit = found >> 4 === wanted >> 4 || (found & 15) === (wanted & 15)
  return {
    weight: !scene.isAssembly && isOneDigit ? 0.92 : 0.94,
    address,
    bytes: { [address]: wanted },
    found: `${byteDigits(found)} at ${showWord(address)}`,
    wanted: 'another value there',
    message: `The byte of data at ${showWord(address)}, ${byteDigits(found)}, is not what is meant. The instructions treat it rightly; work out the value once more, bit by bit.`,
  }
}

const notMovable: Detector = {
  id: 'not-movable',
  title: 'The program runs at one address only',
  looksAt: 'addresses inside the program itself, where it has to run at another place too',
  *signs(scene) {
    const failed = scene.failed.filter(({ check }) => check.kind === 'runs-elsewhere')
    const [first] = failed
    const fixed = scene.sites.find(({ operand, value }) => operand === 'nn' && scene.isInside(value))
    if (first === undefined || fixed === undefined) return
    yield {
      weight: 0.95,
      address: fixed.address,
      checkIds: idsOf(failed),
      found: `${fixed.text} names the address ${showWord(fixed.value)} of the program itself`,
      wanted: 'relative jumps, no address inside the program',
      message: `${fixed.text} at ${showWord(fixed.address)} holds the address ${showWord(fixed.value)}, which is inside the program. At another place something else stands there. Relative jumps (JR, DJNZ) move with the program.`,
    }
  },
}

/** Bytes of the program that are no instructions, and addresses that only fit one place. */
export const data: readonly Detector[] = [wrongData, notMovable]
