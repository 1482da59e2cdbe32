import type { Registers } from '../../core/cpu/index.ts'

/** A register as the page shows it; `was` is null where the last step left it alone. */
export interface RegisterRow {
  readonly name: string
  readonly value: number
  readonly was: number | null
}

const bytes: readonly (readonly [name: string, pair: 'af' | 'bc' | 'de' | 'hl', shift: 0 | 8])[] = [
  ['A', 'af', 8],
  ['B', 'bc', 8],
  ['C', 'bc', 0],
  ['D', 'de', 8],
  ['E', 'de', 0],
  ['H', 'hl', 8],
  ['L', 'hl', 0],
]

const words: readonly (readonly [name: string, register: 'bc' | 'de' | 'hl' | 'ix' | 'iy' | 'sp' | 'pc'])[] = [
  ['BC', 'bc'],
  ['DE', 'de'],
  ['HL', 'hl'],
  ['IX', 'ix'],
  ['IY', 'iy'],
  ['SP', 'sp'],
  ['PC', 'pc'],
]

const second: readonly (readonly [name: string, register: 'af_' | 'bc_' | 'de_' | 'hl_'])[] = [
  ["AF'", 'af_'],
  ["BC'", 'bc_'],
  ["DE'", 'de_'],
  ["HL'", 'hl_'],
]

export function byteRows(now: Registers, before: Registers | null): readonly RegisterRow[] {
  return bytes.map(([name, pair, shift]) => {
    const value = (now[pair] >> shift) & 0xff
    const was = before === null ? value : (before[pair] >> shift) & 0xff
    return { name, value, was: was === value ? null : was }
  })
}

/** PC is never marked: it moves with every step. */
export function wordRows(now: Registers, before: Registers | null): readonly RegisterRow[] {
  return words.map(([name, register]) => {
    const value = now[register]
    const was = before === null || register === 'pc' ? value : before[register]
    return { name, value, was: was === value ? null : was }
  })
}

/** The second set with I, R and the interrupt state: what most programs never touch. */
export function restRows(now: Registers, before: Registers | null): readonly RegisterRow[] {
  const rows = second.map(([name, register]) => ({
    name,
    value: now[register],
    was: before?.[register] ?? now[register],
  }))
  return rows.map((row) => ({ ...row, was: row.was === row.value ? null : row.was }))
}

/** `interrupts off, mode 1`, `waiting in HALT, interrupts on, mode 2`. */
export function interruptWords(now: Registers): string {
  const halted = now.isHalted ? 'waiting in HALT, ' : ''
  return `${halted}interrupts ${now.iff1 ? 'on' : 'off'}, mode ${now.im}`
}

/** What the last step changed, as a sentence for those who do not see the marks. */
export function changeWords(now: Registers, before: Registers | null, show: (value: number) => string): string {
  if (before === null) return 'Nothing has been executed yet.'
  const rows = byteRows(now, before).filter((row) => row.was !== null)
  const words = wordRows(now, before).filter((row) => row.was !== null && ['IX', 'IY', 'SP'].includes(row.name))
  const isFlags = ((now.af ^ before.af) & 0xff) !== 0
  const parts = [...rows, ...words].map((row) => `${row.name} from ${show(row.was ?? 0)} to ${show(row.value)}`)
  if (isFlags) parts.push('flags')
  return parts.length === 0 ? 'The last step changed no register.' : `The last step changed ${parts.join(', ')}.`
}

/** The pair to set so that a byte register holds `value`. */
export function setByte(now: Registers, name: string, value: number): Partial<Registers> {
  const row = bytes.find(([each]) => each === name)
  if (row === undefined) return {}
  const [, pair, shift] = row
  return { [pair]: (now[pair] & ~(0xff << shift)) | ((value & 0xff) << shift) }
}

export function setWord(name: string, value: number): Partial<Registers> {
  const row = words.find(([each]) => each === name)
  return row === undefined ? {} : { [row[1]]: value & 0xffff }
}
