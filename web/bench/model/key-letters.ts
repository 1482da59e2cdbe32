/** The key of the board that a key of the computer stands for: arrows for keys of that name, or by its letter. */
export function keyOf(letters: ReadonlyMap<string, string>, typed: string): string | undefined {
  const arrow = /^Arrow(\w+)$/.exec(typed)?.[1]?.toUpperCase()
  if (arrow !== undefined) return [...letters.values()].find((name) => name === arrow)
  return letters.get(typed.toLowerCase())
}

/**
 * Which key of a computer's keyboard stands for which key of the board: figures and A to F for themselves, each other key
 * by the first letter of its name that is still free, so that a board with other keys needs no table of its own.
 */
export function keyLetters(names: readonly string[]): ReadonlyMap<string, string> {
  const letters = new Map<string, string>()
  const plain = names.filter((name) => name.length === 1)
  for (const name of plain) letters.set(name.toLowerCase(), name)
  for (const name of names) {
    if (name.length < 2) continue
    const letter = [...name.toLowerCase()].find((sign) => /[g-z]/.test(sign) && !letters.has(sign))
    if (letter !== undefined) letters.set(letter, name)
  }
  return letters
}
