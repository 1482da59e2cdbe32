import type { BoardProfile } from '../../../core/board/index.ts'

/** Names of a board's keys: figures and letters first, then those with longer names. */
export function keyNames({ keypad }: Pick<BoardProfile, 'keypad'>): readonly string[] {
  const names = keypad.keys.flat().filter((name) => name !== '')
  return names.sort((a, b) => a.length - b.length || (a < b ? -1 : 1))
}
