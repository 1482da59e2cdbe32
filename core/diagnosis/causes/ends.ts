import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { Scene } from './scene.ts'
import { atText, edited, poked, seenAt, seenAtEnd, type Edit, type Poke } from './signs.ts'

const noEnd: Detector = {
  id: 'no-end',
  title: 'The program has no end',
  looksAt: 'a run that goes on straight behind the last byte of the program',
  *signs(scene) {
    for (const view of scene.views) {
      const { end } = view.result
      const last = view.own.findLast(({ pc }) => scene.isInside(pc))
      if (end.kind !== 'left-program' || last === undefined || scene.isInside(end.address)) continue
      // A program that has overwritten itself went wrong before.
      if (last.bytes.some((byte, i) => scene.isInside(last.pc + i) && byte !== scene.draft.byte(last.pc + i))) continue
      const behind = last.pc + last.bytes.length
      const isStraight =
        end.from === last.pc && end.address === behind && !/^(JP|JR [^NZC]|RET|CALL|RST)\b/.test(last.text)
      // An instruction cut off by the end of the bytes takes what stands behind them as its operand.
      const isCut = last.bytes.some((_, i) => !scene.isInside(last.pc + i))
      if (!isStraight && !isCut) continue
      const wanted = scene.exercise.program.ends === 'halt' ? 'HALT' : 'RET'
      // A byte that is missing further up pushes the last instruction into an operand.
      const isElsewhere = !scene.isAssembly && scene.repair !== null && scene.repair.at !== behind
      yield {
        ...seenAt(view, last),
        weight: !scene.isRunWrong ? 0.5 : isCut || isElsewhere ? 0.85 : 0.97,
        found: `execution goes on at ${showWord(end.address)}, behind the program`,
        wanted: `${wanted} as the last instruction`,
        message: `Behind ${last.text} at ${showWord(last.pc)} the program has no more instructions, and the processor goes on with whatever stands at ${showWord(behind)}. It needs ${wanted} at its end.`,
      }
      return
    }
    yield* edited(scene, runInto(scene))
  },
}

/** Where a routine begins and the instruction before it goes straight on into it. */
function runInto(scene: Scene): readonly Edit[] {
  const { lines } = scene.draft
  const end = scene.exercise.program.ends === 'halt' ? 'HALT' : 'RET'
  const named = new Set(
    lines
      .filter(({ mnemonic }) => /^(CALL|LD)$/.test(mnemonic))
      .map(({ address }) => scene.draft.byte(address + 1) | (scene.draft.byte(address + 2) << 8)),
  )
  return lines.flatMap((line, i): readonly Edit[] => {
    const before = lines[i - 1]
    const isRoutine = named.has(line.address) && before !== undefined
    const goesOn = before !== undefined && !/^(HALT|RET|RETI|RETN)$/.test(before.text) && !isPlainJump(before)
    if (!isRoutine || !goesOn) return []
    return [
      {
        weight: 0.97,
        address: before.address,
        changes: { before: { [i]: end } },
        found: `execution goes on behind ${atText(before)}, into the routine at ${showWord(line.address)}`,
        wanted: `${end} before the routine`,
        message: `Behind ${atText(before)} the main part of the program is over, but the processor goes straight on into the routine at ${showWord(line.address)}. It needs ${end} in between.`,
      },
    ]
  })
}

function isPlainJump({ mnemonic, operands }: DraftLine): boolean {
  return /^(JP|JR)$/.test(mnemonic) && operands.length === 1
}

const wrongEnd: Detector = {
  id: 'wrong-end',
  title: 'HALT and RET in each other’s place',
  looksAt: 'a program that halts where it should return, or returns where it should halt',
  *signs(scene) {
    const wantsReturn = scene.exercise.program.ends === 'return'
    const opcodes: Readonly<Record<number, number>> = wantsReturn ? { 0x76: 0xc9 } : { 0xc9: 0x76 }
    const sites = scene.sites.filter(({ bytes: [first = 0] }) => first in opcodes)
    const telling = (text: string): Pick<Poke, 'found' | 'wanted'> => ({
      found: text,
      wanted: wantsReturn ? 'RET' : 'HALT',
    })
    const message = wantsReturn
      ? 'HALT stops the processor for good. A routine ends with RET, so that its caller can go on.'
      : 'RET takes an address from the stack, but nobody has called this program. It ends with HALT.'
    yield* poked(
      scene,
      sites.map((site): Poke => ({
        weight: 0.965,
        address: site.address,
        bytes: { [site.address]: opcodes[site.bytes[0] ?? 0] ?? 0 },
        ...telling(`${site.text} at ${showWord(site.address)}`),
        message,
      })),
    )
    const view = scene.main
    const last = view.own.at(-1)
    if (wantsReturn && view.result.end.kind === 'halted') {
      yield { ...seenAtEnd(view), weight: 0.9, ...telling('HALT at the end'), message }
    }
    const isReturn = last !== undefined && last.text === 'RET' && last.before.sp === view.registers.sp
    if (!wantsReturn && isReturn) yield { ...seenAt(view, last), weight: 0.9, ...telling('RET at the end'), message }
  },
}

const leftProgram: Detector = {
  id: 'left-program',
  title: 'The program jumps out of itself',
  isConsequence: true,
  looksAt: 'a jump, call or return to where no program is',
  *signs(scene) {
    for (const view of scene.views) {
      const { end } = view.result
      if (end.kind !== 'left-program') continue
      const last = view.own.at(-1)
      const line = scene.draft.at(end.from)
      const text = line === null ? (last?.text ?? 'The instruction') : atText(line)
      yield {
        ...(last === undefined ? seenAtEnd(view) : seenAt(view, last)),
        weight: 0.6,
        found: `${text} leads to ${showWord(end.address)}`,
        wanted: 'an address inside the program, or a routine of the firmware',
        message: `${text} leads to ${showWord(end.address)}, where no program stands. What is executed there is whatever RAM happens to hold.`,
      }
      return
    }
  },
}

export const ends: readonly Detector[] = [noEnd, wrongEnd, leftProgram]
