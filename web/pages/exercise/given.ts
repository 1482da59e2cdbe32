import type { BoardProfile } from '../../../core/board/index.ts'
import type { StudentView } from '../../../core/exercise/index.ts'
import { byteDigits, showByte, showRange, showWord } from '../../../core/image/index.ts'
import { count, duration, tStates } from '../../words/index.ts'

/** One fact of the machine at the start of a run: its name, and its value as people read it. */
export interface GivenFact {
  readonly name: string
  readonly value: string
}

type Given = NonNullable<StudentView['given']>

/** What an exercise gives in a case; the case's own values stand for those of the exercise. */
export function givenFacts(given: Given | null): readonly GivenFact[] {
  if (given === null) return []
  const facts: GivenFact[] = Object.entries(given.registers).map(([name, value]) => ({
    name: name.toUpperCase().replace('_', "'"),
    value: name.length === 1 ? showByte(value) : showWord(value),
  }))
  for (const { at, bytes } of given.memory)
    facts.push({
      name: showWord(at),
      value:
        bytes.slice(0, 16).map(byteDigits).join(' ') + (bytes.length > 16 ? ` … ${count(bytes.length, 'byte')}` : ''),
    })
  if (given.keys.length > 0) facts.push({ name: 'Keys', value: given.keys.map((press) => press.key).join(' ') })
  if (given.switches !== null) facts.push({ name: 'Switches', value: showByte(given.switches) })
  if (given.timer === true) facts.push({ name: 'Timer', value: 'runs' })
  return facts
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
