/** A stretch of memory as a document gives it. */
export interface GivenStretch {
  readonly at: string
  readonly bytes: string
}

export interface GivenLines {
  readonly memory: readonly GivenStretch[]
  /** What is wrong with the first line that cannot be read; null where all can. */
  readonly error: string | null
}

const form = /^([0-9a-f]{1,4})h?\s*:\s*([0-9a-f]{2}(?:[\s,]+[0-9a-f]{2})*)$/i

/** Lines such as `4600h: 32 33 FF` as given memory. Empty lines are skipped. */
export function readGivenLines(text: string): GivenLines {
  const memory: GivenStretch[] = []
  for (const [index, line] of text.split('\n').entries()) {
    const trimmed = line.trim()
    if (trimmed === '') continue
    const [, at = '', bytes = ''] = form.exec(trimmed) ?? []
    if (at === '') return { memory: [], error: `Line ${index + 1}: found ‘${trimmed}’, wanted as in 4600h: 32 33 FF.` }
    memory.push({
      at: `${at.toUpperCase().padStart(4, '0')}h`,
      bytes: bytes
        .toUpperCase()
        .split(/[\s,]+/)
        .join(' '),
    })
  }
  return { memory, error: null }
}
