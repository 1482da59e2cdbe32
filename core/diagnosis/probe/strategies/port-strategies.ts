import { digitTimeline } from '../../../board/index.ts'
import type { Image } from '../../../image/index.ts'
import type { RunRequest } from '../../../run/index.ts'
import { portOf } from './answers.ts'
import { onePerCase, type Ground } from './ground.ts'
import { scansIn } from './key-strategies.ts'
import { routineOf } from './model-facts.ts'
import type { Strategy } from './strategy.ts'

/** Programs that leave a digit of the display out, or one of the switches, or mix it up with another. */
export function portStrategies(ground: Ground): readonly Strategy[] {
  return [...(isShowing(ground) ? missingDigits(ground) : []), ...switchesMixedUp(ground)]
}

/** Whether the model answer lights a digit in some case. */
function isShowing(ground: Ground): boolean {
  return onePerCase(ground).some(({ model }) => {
    const spans = model === null ? [] : digitTimeline(model.events, ground.profile, 0, model.tStates)
    return spans.some(({ state }) => state !== 'dark')
  })
}

function missingDigits(ground: Ground): readonly Strategy[] {
  const { facts, profile } = ground
  const { text } = facts
  const scans = scansIn(ground)
  const { display, layout } = profile
  const selects = text.instructions.filter((each) => {
    const [port, from] = each.operands
    const isSelecting = each.mnemonic === 'OUT' && portOf(port) === display.selectPort && from?.toUpperCase() === 'A'
    return isSelecting && !scans.includes(each)
  })
  const sweeps = text.instructions.filter(
    ({ mnemonic, operands }) =>
      mnemonic === 'CALL' && operands.length === 1 && routineOf(operands[0] ?? '', profile) !== undefined,
  )
  return display.digitBits.flatMap((bit, digit): Strategy[] => {
    const mask = display.isDigitActiveHigh ? `AND ${~(1 << bit) & 0xff}` : `OR ${1 << bit}`
    const unselected = selects.map((at) => ({
      at,
      instead: ['PUSH AF', mask, `OUT ${at.operands.join(',')}`, 'POP AF'],
    }))
    const dark = display.isSegmentActiveHigh ? 0 : 0xff
    const blanked = sweeps.map((at) => ({
      ...{ at, before: ['PUSH AF', `LD A,${dark}`, `LD (${layout.digitBuffer + digit}),A`, 'POP AF'] },
    }))
    return [unselected, blanked].flatMap((insertions) => {
      const image = insertions.length === 0 ? null : text.with(insertions)
      return image === null
        ? []
        : [strategy('digits', 'A program that never lights one of the digits', `digit ${digit + 1}`, image)]
    })
  })
}

function switchesMixedUp({ facts: { text }, profile, stages }: Ground): readonly Strategy[] {
  const { switches } = profile
  const reads = text.instructions.filter(
    ({ mnemonic, operands }) =>
      mnemonic === 'IN' && operands[0]?.toUpperCase() === 'A' && portOf(operands[1]) === switches?.port,
  )
  if (switches === null || reads.length === 0) return []
  const used = stages.reduce((mask, { request }) => mask | switchesOf(request), 0)
  return switches.bits.flatMap((bit, i): Strategy[] => {
    const put = (words: string, after: readonly string[]): Strategy[] => {
      const image = text.with(reads.map((at) => ({ at, after })))
      return image === null ? [] : [strategy('switches', words, `switch ${i + 1}`, image)]
    }
    const others = switches.bits.filter((other) => other !== bit && (used & (1 << other)) !== 0)
    return [
      ...put('A program that takes one of the switches for off', [`AND ${~(1 << bit) & 0xff}`]),
      ...put('A program that takes one of the switches for on', [`OR ${1 << bit}`]),
      ...others.slice(0, 2).flatMap((other) => {
        const on = text.label()
        const after = [`BIT ${bit},A`, `JP Z,${on}`, `OR ${1 << other}`, `${on}:`]
        return put('A program in which one switch does what another one does', after)
      }),
    ]
  })
}

/** Every switch that is on at some time of a run. */
export function switchesOf({ given }: RunRequest): number {
  return (given.switchMoves ?? []).reduce((mask, { value }) => mask | value, given.switches)
}

function strategy(kind: Strategy['kind'], words: string, detail: string, image: Image): Strategy {
  return { kind, words, detail, image, isWhole: false, subjects: ['values', 'switches', 'keys'] }
}
