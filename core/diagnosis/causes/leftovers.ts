import { showWord } from '../../image/index.ts'
import type { Detector } from './detector.ts'
import type { Scene } from './scene.ts'
import { atText, edited, poked, type Edit, type Poke } from './signs.ts'
import type { Site } from './sites.ts'

/** How far an instruction is moved at most. */
const farthest = 5

const stepsInWrongOrder: Detector = {
  id: 'steps-in-wrong-order',
  title: 'Two steps have each other’s place',
  looksAt: 'instructions that pass when moved a few places up or down',
  *signs(scene) {
    const { lines } = scene.draft
    if (lines.length > 40) return
    const edits = lines.flatMap((line, i): readonly Edit[] => {
      const telling = {
        weight: 0.9,
        address: line.address,
        found: `${atText(line)} where it stands`,
        wanted: 'the same instruction at another place',
      }
      const places = Array.from({ length: lines.length }, (_, place) => place).filter(
        (place) => Math.abs(place - i) <= farthest && place !== i,
      )
      return places.flatMap((place): readonly Edit[] => {
        const to = lines[place]
        const message = `${atText(line)} comes too ${place < i ? 'late' : 'early'}: what it does is needed ${place < i ? 'before' : 'behind'} ${to === undefined ? 'others' : atText(to)}.`
        const instead = { [i]: '' }
        return place < i
          ? [
              { ...telling, message, changes: { instead, inside: { [place]: line.text } } },
              ...(to?.label === null
                ? []
                : [{ ...telling, message, changes: { instead, before: { [place]: line.text } } }]),
            ]
          : [{ ...telling, message, changes: { instead, after: { [place]: line.text } } }]
      })
    })
    yield* edited(scene, edits)
  },
}

const wrongOperand: Detector = {
  id: 'wrong-operand',
  title: 'An operand is wrong',
  looksAt: 'an instruction that passes with another number',
  *signs(scene) {
    const { repair, isAssembly } = scene
    yield* poked(scene, scene.sites.flatMap(otherBit))
    const isOperand = repair?.kind === 'operand' || (repair?.kind === 'replace' && isOperandOnly(repair.instruction))
    if (repair === null || !isOperand) return
    yield {
      weight: isAssembly ? 0.72 : 0.6,
      image: repair.image,
      address: repair.at,
      found: repair.instruction.found ?? '',
      wanted: 'another number',
      message: `The number in ${repair.instruction.found ?? 'the instruction'} at ${startOf(scene, repair.at)} is not the right one.`,
    }
  },
}

/** Where the instruction begins that holds a byte. */
function startOf({ draft }: Scene, at: number): string {
  return showWord(draft.around(at)?.address ?? at)
}

/** A mask or a selection of one bit, the bit beside it instead. */
function otherBit(site: Site): readonly Poke[] {
  const { value, operand } = site
  if (operand !== 'n' || value === 0 || (value & (value - 1)) !== 0) return []
  return [value << 1, value >> 1]
    .filter((wanted) => wanted > 0 && wanted < 256)
    .map((wanted) => ({
      weight: 0.86,
      address: site.address,
      bytes: { [site.at]: wanted },
      found: `${site.text}: bit ${Math.log2(value)}`,
      wanted: 'another bit',
      message: `${site.text} at ${showWord(site.address)} takes bit ${Math.log2(value)}. Another one is meant: look up which bit belongs to what on the board.`,
    }))
}

function isOperandOnly({
  found,
  wouldBe,
}: {
  readonly found: string | null
  readonly wouldBe: string | null
}): boolean {
  const shape = (text: string | null): string => (text ?? '').replace(/[0-9A-F]+H\b/g, '#')
  return found !== null && shape(found) === shape(wouldBe)
}

const wrongInstruction: Detector = {
  id: 'wrong-instruction',
  title: 'An instruction is wrong, or one too many',
  looksAt: 'an instruction that passes when left out, or with another operation',
  *signs(scene) {
    const { repair } = scene
    const dropped = scene.draft.lines.map((line): Edit => ({
      weight: 0.82,
      address: line.address,
      changes: { instead: { [line.index]: '' } },
      found: atText(line),
      wanted: 'no such instruction',
      message: `${atText(line)} does harm: without it the results are right.`,
    }))
    yield* edited(scene, twins(scene))
    yield* edited(scene, dropped)
    if (repair === null || repair.kind === 'inserted') return
    yield {
      weight: 0.56,
      image: repair.image,
      address: repair.at,
      found: repair.instruction.found ?? 'a byte',
      wanted: 'another one',
      message: `${repair.instruction.found ?? 'What stands'} at ${startOf(scene, repair.at)} is not the instruction that is needed there.`,
    }
  },
}

const leftOut: Detector = {
  id: 'instruction-left-out',
  title: 'An instruction is missing',
  looksAt: 'a place at which one instruction more makes every check pass',
  *signs(scene) {
    const { repair } = scene
    if (repair?.kind !== 'inserted') return
    const [before, behind] = [scene.draft.around(repair.at - 1), scene.draft.at(repair.at)]
    const where =
      behind !== null ? `before ${atText(behind)}` : before === null ? 'at the start' : `behind ${atText(before)}`
    yield {
      weight: 0.8,
      image: repair.image,
      address: repair.at,
      found: `a step too few ${where}`,
      wanted: 'one instruction more',
      message: `A step is missing ${where}: with one instruction more there the program does what is asked. What has to have happened when the processor comes to this place?`,
    }
  },
}

/** Operations that are taken for each other, the rarest first. */
const twinNames = [
  'RLD RRD',
  'RLCA RRCA',
  'RLA RRA',
  'RLC RRC',
  'RL RR',
  'SLA SRL',
  'SET RES',
  'ADD SUB',
  'AND OR',
  'OR XOR',
  'INC DEC',
]

function twins(scene: Scene): readonly Edit[] {
  return twinNames.flatMap((pair) =>
    scene.draft.lines.flatMap((line): readonly Edit[] => {
      const names = pair.split(' ')
      const twin = names.find((name) => name !== line.mnemonic)
      if (!names.includes(line.mnemonic) || twin === undefined) return []
      const operands = twin === 'SUB' || twin === 'AND' ? line.operands.slice(-1) : line.operands
      return [
        {
          weight: 0.88,
          address: line.address,
          changes: { instead: { [line.index]: `${twin} ${operands.join(',')}`.trim() } },
          found: atText(line),
          wanted: 'its counterpart',
          message: `${atText(line)} does the opposite of what is needed here, or something near to it. Look up what it does to each bit.`,
        },
      ]
    }),
  )
}

export const leftovers: readonly Detector[] = [stepsInWrongOrder, wrongOperand, wrongInstruction, leftOut]
