/**
 * The word nearest to `word` that it may be a slip of, or null: one letter away, two for words of six letters and more. Of
 * words of up to three letters the first must be right, and words told apart by their digits are meant to be different.
 */
export function nearestWord(word: string, words: Iterable<string>): string | null {
  let best: string | null = null
  let least = word.length < 6 ? 1 : 2
  for (const other of words) {
    if (Math.abs(other.length - word.length) > least || other === word || !mayBeSlip(word, other)) continue
    const distance = editDistance(word, other)
    if (distance < least || (distance === least && best === null)) [best, least] = [other, distance]
  }
  return best
}

function mayBeSlip(word: string, other: string): boolean {
  if (Math.min(word.length, other.length) < 2) return false
  if (Math.min(word.length, other.length) <= 3 && word[0] !== other[0]) return false
  return word.replace(/\d/g, '') !== other.replace(/\d/g, '')
}

/** Letters to change, add, drop, or swap with the next, to turn one word into the other. */
export function editDistance(a: string, b: string): number {
  let before: number[] = []
  let row = Array.from({ length: b.length + 1 }, (_, j) => j)
  for (let i = 1; i <= a.length; i += 1) {
    const next = [i]
    for (let j = 1; j <= b.length; j += 1) {
      const isSame = a[i - 1] === b[j - 1]
      let cost = Math.min((row[j] ?? 0) + 1, (next[j - 1] ?? 0) + 1, (row[j - 1] ?? 0) + (isSame ? 0 : 1))
      if (a[i - 1] === b[j - 2] && a[i - 2] === b[j - 1]) cost = Math.min(cost, (before[j - 2] ?? Infinity) + 1)
      next.push(cost)
    }
    before = row
    row = next
  }
  return row[b.length] ?? 0
}
