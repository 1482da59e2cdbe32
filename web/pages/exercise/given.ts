import type { BoardProfile } from '../../../core/board/index.ts'
import { callsOfCase, placeOfCalls, type Call, type Draw, type StudentView } from '../../../core/exercise/index.ts'
import { byteDigits, showByte, showRange, showWord } from '../../../core/image/index.ts'
import { count, duration, switchesOn, switchesTurned, tStates } from '../../words/index.ts'

/** One fact of the machine at the start of a run: its name, and its value as people read it. */
export interface GivenFact {
  readonly name: string
  readonly value: string
}

type Given = NonNullable<StudentView['given']>
type Case = StudentView['cases'][number]
type Bits = readonly number[]

/** What an exercise gives in a case; the case's own values stand for those of the exercise. */
export function givenFacts(given: Given | null, board: BoardProfile): readonly GivenFact[] {
  if (given === null) return []
  const facts: GivenFact[] = [...registerFacts(given.registers), ...memoryFacts(given.memory)]
  if (given.keys.length > 0) facts.push({ name: 'Keys', value: given.keys.map((press) => press.key).join(' ') })
  const idle = given.idleKeys === 'others' ? 'all others' : (given.idleKeys ?? []).join(' ')
  if (idle !== '') facts.push({ name: 'Keys to ignore', value: `${idle}: pressed too, and nothing may change` })
  facts.push(...switchFacts(given, board.switches?.bits ?? []))
  if (given.timer === true) facts.push({ name: 'Timer', value: 'runs' })
  return facts
}

/** What a case gives, draws and calls. */
export function caseFacts(of: Case, board: BoardProfile): readonly GivenFact[] {
  const drawn = of.draws.map((draw) => drawText(draw)).join(', ')
  return [
    ...givenFacts(of.given, board),
    ...(drawn === '' ? [] : [{ name: 'Drawn', value: drawn }]),
    ...callFacts(of, board),
  ]
}

function registerFacts(registers: Given['registers']): readonly GivenFact[] {
  return Object.entries<number>(registers).map(([name, value]) => ({
    name: registerName(name),
    value: valueText(name, value),
  }))
}

function memoryFacts(memory: Given['memory']): readonly GivenFact[] {
  return memory.map(({ at, bytes }) => ({
    name: showWord(at),
    value:
      bytes.slice(0, 16).map(byteDigits).join(' ') + (bytes.length > 16 ? ` … ${count(bytes.length, 'byte')}` : ''),
  }))
}

const registerName = (name: string): string => name.toUpperCase().replace('_', "'")
const valueText = (name: string, value: number): string => (isByte(name) ? showByte(value) : showWord(value))
const isByte = (name: string): boolean => name.length === 1 || /^i[xy][hl]$/.test(name)

/** How the switches stand at first and how they are moved, each with its time; those that must change nothing. */
function switchFacts({ switches, switchMoves, idleSwitches }: Given, bits: Bits): readonly GivenFact[] {
  const facts: GivenFact[] = []
  if (switches !== null || switchMoves.length > 0) {
    facts.push({ name: 'Switches', value: `${switchesOn(switches ?? 0, bits)} at the start` })
  }
  let before = switches ?? 0
  const moves = switchMoves.map(({ at: { amount, unit }, to }) => {
    const text = `${amount} ${unit}: ${switchesTurned(before, to, bits)}`
    before = to
    return text
  })
  if (moves.length > 0) facts.push({ name: 'Switches move', value: moves.join('; ') })
  const idle = idleSwitches === 'others' ? 'all others' : (idleSwitches ?? []).join(' ')
  if (idle !== '') facts.push({ name: 'Switches to ignore', value: `${idle}: moved too, and nothing may change` })
  return facts
}

/** `B from 1 to 60`, `8 bytes from 4600h, each from 00h to 63h`. */
function drawText({ register, at, length, from, to, decimal }: Draw): string {
  const limits = (show: (value: number) => string): string =>
    from === to ? `always ${show(from)}` : `from ${show(from)} to ${show(to)}`
  if (register !== null) return `${registerName(register)} ${limits((value) => valueText(register, value))}`
  const show = decimal ? (value: number) => `${value} in two decimal figures` : showByte
  if (length === 1) return `${showWord(at ?? 0)} ${limits(show)}`
  return `${count(length, 'byte')} at ${showWord(at ?? 0)}, each ${limits(show)}`
}

/** That the program is called, how often, from where, and with what each time. */
function callFacts(of: Case, board: BoardProfile): readonly GivenFact[] {
  const all = callsOfCase(of)
  if (all.length === 0) return []
  const { from, to } = placeOfCalls(of, board)
  const caller = `${count(all.length, 'call')} in one run, by a program at ${showRange(from, to)}: keep your bytes out of there`
  let next = 1
  const rows = of.calls.map((call): GivenFact => {
    const [first, last] = [next, next + call.times - 1]
    next = last + 1
    return { name: first === last ? `Call ${first}` : `Calls ${first} to ${last}`, value: callText(call) }
  })
  return [{ name: 'Called', value: caller }, ...rows]
}

function callText({ registers, memory, draws }: Call): string {
  const given = [...registerFacts(registers), ...memoryFacts(memory)].map(({ name, value }) => `${name} = ${value}`)
  const drawn = draws.map((draw) => drawText(draw))
  const parts = [...given, ...(drawn.length === 0 ? [] : [`drawn: ${drawn.join(', ')}`])]
  return parts.length === 0 ? 'nothing given' : parts.join('; ')
}

/** What holds for every run: where it goes, how it ends, how long it may take. */
export function runFacts(view: StudentView, board: BoardProfile): readonly GivenFact[] {
  const { program, budget } = view
  const budgetT =
    budget.unit === 'T' ? budget.amount : (budget.amount * board.clockHz) / (budget.unit === 'ms' ? 1000 : 1)
  return [
    { name: 'Place', value: showWord(program.origin ?? board.layout.program) },
    { name: 'Bytes may stand in', value: placesOf(view, board) },
    { name: 'Ends with', value: program.ends === 'halt' ? 'HALT' : 'RET to its caller' },
    { name: 'At most', value: count(program.maxBytes, 'byte') },
    { name: 'Budget', value: `${tStates(budgetT)}, ${duration(budgetT, board.clockHz)}` },
    ...Object.entries(program.constants).map(([name, value]) => ({ name, value: showWord(value) })),
  ]
}

function placesOf({ program }: StudentView, { layout }: BoardProfile): string {
  const ranges = program.ranges ?? [{ from: layout.program, to: layout.programEnd }]
  return ranges.map(({ from, to }) => showRange(from, to)).join(' and ')
}
