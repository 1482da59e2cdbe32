/** A way to write a number. `example` is a number that the page, and a test, may show. */
export interface NumberForm {
  readonly base: 2 | 8 | 10 | 16
  readonly examples: readonly string[]
  readonly says: string
}

/** Every way to write a number, as the lexer reads them. */
export const numberForms: readonly NumberForm[] = [
  {
    base: 10,
    examples: ['90', '090', '90D'],
    says: 'digits alone, or with D behind them; a 0 in front changes nothing',
  },
  { base: 16, examples: ['5AH', '0FFH'], says: 'with H behind; it begins with a digit, if need be a 0' },
  { base: 16, examples: ['0x5A', '$5A', '#5A', '&5A'], says: 'with a mark in front' },
  { base: 2, examples: ['01011010B', '%01011010', '0b01011010'], says: 'with B behind or a mark in front' },
  { base: 8, examples: ['132Q', '132O'], says: 'with Q or O behind' },
]
