/** What keeps a text of a few lines from growing into one of millions: every macro and REPT is paid from these. */
export const limits = {
  /** Lines of a source text, unless a caller allows more. */
  sourceLines: 20_000,
  /** Lines beside one for each byte that a caller allows: a disassembly of that many bytes is always read. */
  linesBesideBytes: 4_000,
  /** Words and marks of a source text, for each line that it may have. */
  tokensPerLine: 12,
  /** Lines that macros and REPT may add; each round of a REPT counts as one more. */
  expandedLines: 20_000,
  /** Words and marks in the lines that macros and REPT add. */
  expandedTokens: 200_000,
  /** Macros and REPT inside each other. */
  depth: 16,
  /** Bytes that a text may make, over all its ORGs. */
  bytes: 0x10000,
  /** Words and marks on a line after a macro's parameters were put in. */
  lineTokens: 1000,
} as const
