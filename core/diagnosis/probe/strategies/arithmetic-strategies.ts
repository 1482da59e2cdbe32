import type { SourceInstruction } from '../../../edits/index.ts'
import type { Image } from '../../../image/index.ts'
import type { Ground } from './ground.ts'
import { textOf, type Insertion, type ModelText } from './model-text.ts'
import type { Strategy, StrategyKind } from './strategy.ts'

/** A mistake in one place of the text, and what it does there. */
interface Slip {
  readonly kind: StrategyKind
  readonly words: string
  readonly insertions: readonly Insertion[]
}

const halves: Readonly<Record<string, readonly [high: string, low: string]>> = {
  ...{ BC: ['B', 'C'], DE: ['D', 'E'], HL: ['H', 'L'], IX: ['IXH', 'IXL'], IY: ['IYH', 'IYL'] },
}

/** Comparisons with the wrong sign or border, counts and sums of 16 bits of which half is looked at. */
export function arithmeticStrategies({ facts: { text } }: Ground): readonly Strategy[] {
  return text.instructions.flatMap((at) =>
    slipsAt(text, at).flatMap(({ kind, words, insertions }): Strategy[] => {
      const image: Image | null = text.with(insertions)
      const detail = `at “${textOf(at)}”`
      return image === null ? [] : [{ kind, words, detail, image, isWhole: false, subjects: ['values', 'calls'] }]
    }),
  )
}

function slipsAt(text: ModelText, at: SourceInstruction): readonly Slip[] {
  return [
    ...conditionSlips(text, at),
    ...halfSlips(text, at),
    ...zeroTestSlips(text, at),
    ...blockEndSlips(text, at),
    ...countSlips(text, at),
    ...carrySlips(at),
  ]
}

const branches = ['JR', 'JP', 'CALL', 'RET']
/** They set the carry by an order, or take it in. */
const comparing = ['CP', 'SUB', 'SBC']

/** A branch on the carry of a comparison just before it. */
function conditionSlips(text: ModelText, at: SourceInstruction): readonly Slip[] {
  const i = text.instructions.indexOf(at)
  const condition = at.operands[0]?.toUpperCase() ?? ''
  const isBranch = branches.includes(at.mnemonic) && ['C', 'NC', 'M', 'P'].includes(condition)
  const isCompared = text.instructions.slice(Math.max(0, i - 4), i).some(({ mnemonic }) => comparing.includes(mnemonic))
  if (!isBranch || !isCompared) return []
  const rest = at.operands.slice(1)
  const branch = (other: string): string => `${at.mnemonic === 'JR' ? 'JP' : at.mnemonic} ${[other, ...rest].join(',')}`
  const signed: Readonly<Record<string, string>> = { C: 'M', NC: 'P', M: 'C', P: 'NC' }
  const isSigned = condition === 'M' || condition === 'P'
  const on = text.label()
  const isLess = condition === 'C' || condition === 'M'
  const bordered = isLess ? [branch('Z'), branch(condition)] : [`JP Z,${on}`, branch(condition), `${on}:`]
  return [
    {
      kind: 'comparison',
      words: isSigned
        ? 'A program that compares without signs where signs count'
        : 'A program that compares as if bytes had a sign: 80h is less than 7Fh',
      insertions: [{ at, instead: [branch(signed[condition] ?? 'M')] }],
    },
    {
      kind: 'comparison',
      words: 'A program that takes equal values for the other side of a comparison',
      insertions: [{ at, instead: bordered }],
    },
  ]
}

/** One of two comparisons that stand near each other, as those of the bytes of two words do, finds its bytes alike. */
function halfSlips(text: ModelText, at: SourceInstruction): readonly Slip[] {
  const isComparing = ({ mnemonic, operands }: SourceInstruction): boolean =>
    mnemonic === 'CP' && /^([BCDEHL]|I[XY][HL]|\(.*\))$/i.test(operands[0] ?? '')
  const i = text.instructions.indexOf(at)
  const near = text.instructions.slice(Math.max(0, i - 8), i + 9)
  if (!isComparing(at) || near.filter(isComparing).length < 2) return []
  const words = 'A program that compares only one byte of two'
  return [{ kind: 'comparison', words, insertions: [{ at, instead: ['CP A'] }] }]
}

/** `LD A,B / OR C`: is a pair 0? */
function zeroTestSlips(text: ModelText, at: SourceInstruction): readonly Slip[] {
  const next = text.behind(at)
  const [to, from] = at.operands.map((operand) => operand.toUpperCase())
  const other = next?.operands.at(-1)?.toUpperCase()
  const pair = Object.values(halves).find(
    (each) => from !== undefined && other !== undefined && each.includes(from) && each.includes(other),
  )
  if (at.mnemonic !== 'LD' || to !== 'A' || next?.mnemonic !== 'OR' || pair === undefined || from === other) return []
  const only = (register: string): readonly Insertion[] => [
    { at, instead: [`LD A,${register}`] },
    { at: next, instead: ['OR A'] },
  ]
  return [
    { kind: 'count', words: 'A program that looks only at the low byte of a 16-bit count', insertions: only(pair[1]) },
    { kind: 'count', words: 'A program that looks only at the high byte of a 16-bit count', insertions: only(pair[0]) },
  ]
}

const steppingInstructions = ['LDI', 'LDD', 'CPI', 'CPD']

/** A jump on P/V behind a step of a block: is BC 0? */
function blockEndSlips(text: ModelText, at: SourceInstruction): readonly Slip[] {
  const i = text.instructions.indexOf(at)
  const [condition = '', target = ''] = at.operands
  const isStepped = text.instructions
    .slice(Math.max(0, i - 4), i)
    .some(({ mnemonic }) => steppingInstructions.includes(mnemonic))
  if (!isStepped || at.mnemonic !== 'JP' || !/^P[EO]$/i.test(condition)) return []
  const zero = text.label()
  const toTarget = ['POP AF', `JP ${target}`]
  const instead = [
    'PUSH AF',
    'INC C',
    'DEC C',
    `JP ${condition.toUpperCase() === 'PE' ? 'Z' : 'NZ'},${zero}`,
    ...toTarget,
  ]
  const words = 'A program that looks only at the low byte of a 16-bit count'
  return [{ kind: 'count', words, insertions: [{ at, instead: [...instead, `${zero}: POP AF`] }] }]
}

const blockInstructions = ['LDIR', 'LDDR', 'CPIR', 'CPDR']

function countSlips(text: ModelText, at: SourceInstruction): readonly Slip[] {
  const { mnemonic } = at
  if (mnemonic === 'DJNZ') {
    const seven: readonly Insertion[] = [{ at, before: ['RES 7,B'] }]
    return [{ kind: 'count', words: 'A program that counts no further than 127', insertions: seven }]
  }
  if (!blockInstructions.includes(mnemonic)) return []
  const on = text.label()
  return [
    {
      kind: 'count',
      words: 'A program that looks only at the low byte of a 16-bit count',
      insertions: [{ at, before: ['LD B,0', 'INC C', 'DEC C', `JP Z,${on}`], after: [`${on}:`] }],
    },
    {
      kind: 'count',
      words: 'A program that works in the other direction',
      insertions: [
        { at, instead: [mnemonic.endsWith('IR') ? mnemonic.replace('IR', 'DR') : mnemonic.replace('DR', 'IR')] },
      ],
    },
  ]
}

/** 16 bits of which only the low byte moves: sums, differences, pointers and counters that cross no page. */
function carrySlips(at: SourceInstruction): readonly Slip[] {
  const { mnemonic, operands } = at
  const [to = '', from = ''] = operands.map((operand) => operand.toUpperCase())
  const low = halves[to]?.[1]
  if (low === undefined) return []
  if (mnemonic === 'INC' || mnemonic === 'DEC') {
    return [
      {
        kind: 'carry',
        words: 'A program that counts only the low byte of a pair up or down, so that it crosses no page',
        insertions: [{ at, instead: ['PUSH AF', `${mnemonic} ${low}`, 'POP AF'] }],
      },
    ]
  }
  const added = halves[from]?.[1]
  if (added === undefined) return []
  if (mnemonic === 'ADD') {
    const sum = ['PUSH AF', `LD A,${low}`, `ADD A,${added}`, `LD ${low},A`, 'POP AF']
    return [
      {
        kind: 'carry',
        words: 'A program that adds only the low bytes of two pairs',
        insertions: [{ at, instead: sum }],
      },
    ]
  }
  if (mnemonic !== 'SBC') return []
  const [high = '', subtracted = ''] = [halves[to]?.[0], halves[from]?.[0]]
  return [
    {
      kind: 'comparison',
      words: 'A program that compares only the low bytes of two 16-bit values',
      insertions: [{ at, instead: [`LD A,${low}`, `SBC A,${added}`] }],
    },
    {
      kind: 'comparison',
      words: 'A program that compares only the high bytes of two 16-bit values',
      insertions: [{ at, instead: [`LD A,${high}`, `SBC A,${subtracted}`] }],
    },
  ]
}
