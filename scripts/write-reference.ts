/**
 * Writes the pages and schemas that are made from the program: `npm run reference`. A test makes them again and compares,
 * so none of them is edited by hand.
 */
import { mkdirSync, writeFileSync } from 'node:fs'
import { dirname, join, resolve } from 'node:path'
import { assemblerReference } from '../core/assembler/index.ts'
import { benchEight, boardProfileSchema, type BoardProfile } from '../core/board/index.ts'
import { instructionSet, type Instruction } from '../core/cpu/index.ts'
import { exerciseJsonSchema, exerciseReference } from '../core/exercise/index.ts'
import { sessionJsonSchema } from '../core/exports/index.ts'

const hex = (value: number, digits: number): string => value.toString(16).toUpperCase().padStart(digits, '0')
const address = (value: number): string => `${hex(value, 4)}h`
const port = (value: number): string => `${hex(value, 2)}h`
const bits = (list: readonly number[]): string => list.join(', ')
const table = (head: readonly string[], rows: readonly (readonly string[])[]): string =>
  [head, head.map(() => '---'), ...rows].map((cells) => `| ${cells.join(' | ')} |`).join('\n')

function boardPage(board: BoardProfile): string {
  const { display, keypad, layout, speaker, timer, lamps, switches } = board
  const rows = [
    ['Clock', `${board.clockHz.toLocaleString('en-GB')} Hz; one T-state is ${1_000_000 / board.clockHz} µs`],
    ...board.memory.map(({ kind, from, to }) => [kind.toUpperCase(), `${address(from)} to ${address(to)}`]),
    ['Programs', `from ${address(layout.program)}`],
    ['Data', `from ${address(layout.data)}`],
    ['Digit buffer', `${address(layout.digitBuffer)}, ${display.digits} bytes from left to right`],
    ['Stack pointer at start', address(layout.stackTop)],
    ['Segments', `port ${port(display.segmentPort)}: a to g and the point on bits ${bits(display.segmentBits)}`],
    ['Digit select', `port ${port(display.selectPort)}: left to right on bits ${bits(display.digitBits)}`],
    ['Speaker', `port ${port(speaker.port)}, bit ${speaker.bit}`],
    ['Keypad rows', `port ${port(keypad.rowPort)}, of the selected column`],
    ...(lamps === null ? [] : [['Lamps', `port ${port(lamps.port)}, bits ${bits(lamps.bits)}`]]),
    ...(switches === null ? [] : [['Switches', `port ${port(switches.port)}, bits ${bits(switches.bits)}`]]),
    ...(timer === null ? [] : [['Timer', `${timer.hz} Hz, interrupt mode ${timer.interruptMode}`]]),
    ...(layout.interruptHook === null ? [] : [['Interrupt hook', address(layout.interruptHook)]]),
  ]
  const keys = keypad.keys.map((column, i) => [String(i), ...column])
  const routines = board.firmware.routines.map((each) => [
    `\`${each.name}\` ${address(each.address)}`,
    each.summary,
    each.needs,
    each.gives,
    each.changes.join(' '),
  ])
  return `# ${board.title}

The board of the demo course, invented for it. Its profile is data: an instructor can describe another board in the same
form ([the schema](schema/board-profile.schema.json)).

${table(['What', 'Where'], rows)}

## Keys

${table(['Digit select bit', ...(keypad.keys[0] ?? []).map((_key, row) => `Row bit ${row}`)], keys)}

## Routines in ROM

${table(['Call', 'Does', 'Needs', 'Gives', 'Changes'], routines)}
`
}

function instructionPage(set: readonly Instruction[]): string {
  const bytesOf = ({ encoding }: Instruction): string =>
    encoding.map((part) => (typeof part === 'number' ? hex(part, 2) : part)).join(' ')
  const sum = (cycles: readonly number[]): string => String(cycles.reduce((total, each) => total + each, 0))
  const tStates = ({ machineCycles, machineCyclesNotTaken }: Instruction): string =>
    machineCyclesNotTaken === undefined ? sum(machineCycles) : `${sum(machineCycles)} / ${sum(machineCyclesNotTaken)}`
  const row = (each: Instruction): string[] => [
    `\`${each.text}\``,
    `\`${bytesOf(each)}\``,
    tStates(each),
    each.machineCycles.join('+'),
  ]
  const head = ['Instruction', 'Bytes', 'T-states', 'Machine cycles']
  return `# Instructions

Made from the table that drives the engine, the assembler and the disassembler. \`n\` is a byte, \`nl nh\` a word with its low
half first, \`d\` a displacement of IX or IY, \`e\` the displacement of a relative jump, counted from the next instruction.
T-states with a stroke: when the condition holds or the block goes on / when not.

${table(head, set.filter((each) => each.isDocumented).map(row))}

## Not in the manual

What the silicon does beside it. A hand-in that uses them runs here as on an NMOS part; other makers' parts may differ.

${table(head, set.filter((each) => !each.isDocumented).map(row))}
`
}

/** Every page that is made, by its path below the project's root. */
export function referencePages(): ReadonlyMap<string, string> {
  const json = (value: unknown): string => `${JSON.stringify(value, null, 2)}\n`
  return new Map([
    ['docs/exercise-document.md', exerciseReference()],
    ['docs/assembler.md', assemblerReference()],
    ['docs/bench-8.md', boardPage(benchEight)],
    ['docs/instructions.md', instructionPage(instructionSet)],
    ['docs/schema/exercise.schema.json', json(exerciseJsonSchema())],
    ['docs/schema/board-profile.schema.json', json(boardProfileSchema)],
    ['docs/schema/session.schema.json', json(sessionJsonSchema)],
  ])
}

if (process.argv[1] === import.meta.filename) {
  const root = resolve(import.meta.dirname, '..')
  for (const [path, text] of referencePages()) {
    mkdirSync(dirname(join(root, path)), { recursive: true })
    writeFileSync(join(root, path), text)
    console.log(`${path}: ${text.length} characters`)
  }
}
