/** The word nearest to `word`, at most two letters away (one for words of up to three letters), or null. */
export function nearestWord(word: string, words: Iterable<string>): string | null {
  let best: string | null = null
  let least = word.length <= 3 ? 1 : 2
  for (const other of words) {
    if (Math.abs(other.length - word.length) > least || other === word) continue
    const distance = editDistance(word, other)
    if (distance < least || (distance === least && best === null)) [best, least] = [other, distance]
  }
  return best
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
