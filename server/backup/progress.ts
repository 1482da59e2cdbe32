/** Where a backup or restore has got to. */
export interface Progress {
  readonly table: string
  readonly done: number
  readonly rows: number
}

export interface Watch {
  readonly onProgress?: (progress: Progress) => void
  /** Stops the work at the next row; it then throws the reason of the signal. */
  readonly signal?: AbortSignal
}
