/** Where the keyboard stands in a matrix: one cell takes part in the order of Tab, arrows move within. */
export class Grid {
  #row = $state(0)
  #column = $state(0)

  isAt(row: number, column: number): boolean {
    return row === this.#row && column === this.#column
  }

  get row(): number {
    return this.#row
  }

  get column(): number {
    return this.#column
  }

  /** Moves to a cell, kept inside a matrix of that size. */
  goTo(row: number, column: number, rows: number, columns: number): void {
    this.#row = Math.min(Math.max(row, 0), Math.max(rows - 1, 0))
    this.#column = Math.min(Math.max(column, 0), Math.max(columns - 1, 0))
  }

  /** Does what a key asks for in a matrix of that size; false for a key that means nothing here. */
  press(key: string, isFar: boolean, rows: number, columns: number): boolean {
    const moves: Record<string, readonly [row: number, column: number]> = {
      ArrowUp: [this.#row - 1, this.#column],
      ArrowDown: [this.#row + 1, this.#column],
      ArrowLeft: [this.#row, this.#column - 1],
      ArrowRight: [this.#row, this.#column + 1],
      PageUp: [this.#row - 10, this.#column],
      PageDown: [this.#row + 10, this.#column],
      Home: [isFar ? 0 : this.#row, 0],
      End: [isFar ? rows - 1 : this.#row, columns - 1],
    }
    const move = moves[key]
    if (move === undefined) return false
    this.goTo(move[0], move[1], rows, columns)
    return true
  }
}
