/** Whether showing `name` would give away `hidden`: the register itself, its pair, its halves; F is the lamps of the flags. */
export function isHidden(name: string, hidden: string | null): boolean {
  if (hidden === null) return false
  return name === hidden || hidden.includes(name) || name.includes(hidden)
}
