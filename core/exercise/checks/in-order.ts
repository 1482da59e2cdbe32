/**
 * How many of `wanted` things are among the `found` ones in their order: the length of the longest common subsequence. One
 * left out, or one too many, costs one and not all behind it.
 */
export function longestInOrder(wanted: number, found: number, isRight: (i: number, j: number) => boolean): number {
  let before = new Array<number>(found + 1).fill(0)
  for (let i = 0; i < wanted; i++) {
    const now = [0]
    for (let j = 0; j < found; j++) {
      now.push(isRight(i, j) ? (before[j] ?? 0) + 1 : Math.max(before[j + 1] ?? 0, now[j] ?? 0))
    }
    before = now
  }
  return before[found] ?? 0
}
