import type { Addr, Byte } from '../cpu/index.ts'
import { imageRange, type AddressRange, type Image } from '../image/index.ts'
import { dataLines, dataText } from './data-lines.ts'
import { followFlow, type FilledMemory } from './flow.ts'
import { disassembleAt, wordLiteral, type AddressUse } from './instruction-text.ts'
import { inventLabels, type Labels } from './label-names.ts'

/** One line of a disassembly. */
export interface DisassembledLine {
  readonly kind: 'instruction' | 'data' | 'other'
  /** Null for lines that stand for no place. */
  readonly address: Addr | null
  readonly bytes: readonly Byte[]
  readonly label: string | null
  /** Instruction or directive, as an assembler reads it. */
  readonly text: string
  readonly comment: string | null
  readonly tStates: number | null
  readonly tStatesNotTaken: number | null
}

export interface DisassembleOptions {
  /** Where execution starts. */
  readonly entry: Addr
  /** Further places where execution may start: interrupt handlers, routines that others call. */
  readonly entries?: readonly Addr[]
  /** Names of places outside of the image, such as the firmware's routines. All must be names the assembler takes. */
  readonly names?: Readonly<Record<string, Addr>>
  /** Names of places in the image, such as a student's own labels. */
  readonly labels?: Readonly<Record<string, Addr>>
  /** Words to stand behind the line of an address. */
  readonly comments?: ReadonlyMap<Addr, string>
}

/**
 * Turns an image into lines that assemble to the same image. Instructions are what the flow from the entries reaches; the
 * rest is data. Encodings that no assembler emits are data with a comment.
 */
export function disassemble(image: Image, options: DisassembleOptions): readonly DisassembledLine[] {
  const range = imageRange(image)
  if (range === null) return []
  const memory = memoryOf(image, range)
  const flow = followFlow(memory, [options.entry, ...(options.entries ?? [])])
  const { inside, outside } = sortNames(options, memory.isFilled)
  const isStart = (address: Addr) => flow.instructions.has(address) || !flow.isCode(address)
  const known = new Map([...inside].filter(([address]) => isStart(address)))
  const taken = Object.keys(options.names ?? {})
  const labels = inventLabels({ flow, memory, entry: options.entry, taken, known })

  const used = new Map<string, Addr>()
  const nameOf = (address: Addr, use: AddressUse): string | null => {
    const label = labels.get(address)
    if (label !== undefined) return use === 'number' && flow.isCode(address) ? null : label
    const name = use === 'number' ? undefined : outside.get(address)
    if (name !== undefined) used.set(name, address)
    return name ?? null
  }

  const body: DisassembledLine[] = []
  for (const { start, bytes } of image.segments) {
    body.push(other('ORG', wordLiteral(start)))
    const end = start + bytes.length
    for (let address = start; address < end;) {
      if (flow.instructions.has(address)) {
        const line = instructionLine(memory, address, labels, nameOf, options.comments)
        body.push(line)
        address += line.bytes.length
        continue
      }
      let to = address
      while (to < end && !flow.isCode(to)) to += 1
      body.push(...dataLines(memory, address, to, labels, options.comments ?? new Map()))
      address = to
    }
  }
  const equates = [...used].map(([name, address]) => ({ ...other('EQU', wordLiteral(address)), label: name }))
  const end =
    options.entry === range.from ? [] : [other('END', labels.get(options.entry) ?? wordLiteral(options.entry))]
  return [...equates, ...body, ...end]
}

function memoryOf(image: Image, { from, to }: AddressRange): FilledMemory {
  const bytes = new Uint8Array(to - from + 1)
  const isFilled = new Uint8Array(to - from + 1)
  for (const segment of image.segments) {
    bytes.set(segment.bytes, segment.start - from)
    isFilled.fill(1, segment.start - from, segment.start - from + segment.bytes.length)
  }
  return { byteAt: (address) => bytes[address - from] ?? 0, isFilled: (address) => isFilled[address - from] === 1 }
}

function other(directive: string, operand: string): DisassembledLine {
  const text = `${directive} ${operand}`
  return {
    kind: 'other',
    address: null,
    bytes: [],
    label: null,
    text,
    comment: null,
    tStates: null,
    tStatesNotTaken: null,
  }
}

function instructionLine(
  memory: FilledMemory,
  address: Addr,
  labels: Labels,
  nameOf: (address: Addr, use: AddressUse) => string | null,
  comments: ReadonlyMap<Addr, string> | undefined,
): DisassembledLine {
  const found = disassembleAt(memory.byteAt, address, nameOf)
  const { bytes, text, isExact, tStates, tStatesNotTaken } = found
  const label = labels.get(address) ?? null
  const own = comments?.get(address)
  const common = { kind: 'instruction', address, bytes, label, tStates, tStatesNotTaken } as const
  if (isExact) return { ...common, text, comment: own ?? null }
  const note = `${text}, in an encoding that assemblers do not use`
  return { ...common, text: dataText(bytes), comment: own === undefined ? note : `${note}; ${own}` }
}

/** A longer name is left out: a line with two of them would be longer than an assembler reads. */
const longestName = 100

function sortNames(
  { names = {}, labels = {} }: DisassembleOptions,
  isInside: (address: Addr) => boolean,
): { inside: Map<Addr, string>; outside: Map<Addr, string> } {
  const inside = new Map<Addr, string>()
  const outside = new Map<Addr, string>()
  const taken = new Set<string>()
  // Own labels come first: where two names mean one place, the student's is kept, and where one name means two places.
  for (const [name, address] of [...Object.entries(labels), ...Object.entries(names)]) {
    const home = isInside(address) ? inside : outside
    const key = name.toUpperCase()
    if (home.has(address) || taken.has(key) || name.length > longestName) continue
    home.set(address, name)
    taken.add(key)
  }
  return { inside, outside }
}
