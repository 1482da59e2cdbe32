/** The switches of a port of eight, those on the left first. */
export const allSwitches: readonly number[] = [7, 6, 5, 4, 3, 2, 1, 0]

/** `7 and 0 on`, `all off`: how switches stand; `bits` are those of the board from the left. */
export function switchesOn(value: number, bits: readonly number[] = allSwitches): string {
  const on = bits.filter((bit) => ((value >> bit) & 1) === 1)
  if (on.length === 0) return 'all off'
  return on.length === bits.length ? 'all on' : `${listed(on)} on`
}

/** `7 on`, `1 and 0 off, 3 on`: what a move turns. */
export function switchesTurned(from: number, to: number, bits: readonly number[] = allSwitches): string {
  const moved = bits.filter((bit) => (((from ^ to) >> bit) & 1) === 1)
  const on = moved.filter((bit) => ((to >> bit) & 1) === 1)
  const off = moved.filter((bit) => !on.includes(bit))
  const texts = [...(off.length === 0 ? [] : [`${listed(off)} off`]), ...(on.length === 0 ? [] : [`${listed(on)} on`])]
  return texts.length === 0 ? 'as before' : texts.join(', ')
}

function listed(numbers: readonly number[]): string {
  const last = numbers.at(-1)
  return numbers.length < 2 ? `${last ?? ''}` : `${numbers.slice(0, -1).join(', ')} and ${last ?? ''}`
}
