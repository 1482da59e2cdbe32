import type { Row } from './table.ts'

/** Block moves, searches and port blocks. A repeating one does one round, then steps back onto itself until it is done. */
export const blocks: readonly Row[] = [
  ['LDI', 'ED A0', '4 4 3 5', 'let rest = moveBlock(1)'],
  ['LDD', 'ED A8', '4 4 3 5', 'let rest = moveBlock(-1)'],
  ['LDIR', 'ED B0', '4 4 3 5 5 / 4 4 3 5', 'let rest = moveBlock(1); when rest { idle; again() }'],
  ['LDDR', 'ED B8', '4 4 3 5 5 / 4 4 3 5', 'let rest = moveBlock(-1); when rest { idle; again() }'],
  ['CPI', 'ED A1', '4 4 3 5', 'compareBlock(1)'],
  ['CPD', 'ED A9', '4 4 3 5', 'compareBlock(-1)'],
  ['CPIR', 'ED B1', '4 4 3 5 5 / 4 4 3 5', 'compareBlock(1); when PF & !ZF { idle; again() }'],
  ['CPDR', 'ED B9', '4 4 3 5 5 / 4 4 3 5', 'compareBlock(-1); when PF & !ZF { idle; again() }'],
  ['INI', 'ED A2', '4 5 4 3', 'let x = inputBlock(1)'],
  ['IND', 'ED AA', '4 5 4 3', 'let x = inputBlock(-1)'],
  ['INIR', 'ED B2', '4 5 4 3 5 / 4 5 4 3', 'let x = inputBlock(1); when B { idle; againPort(x) }'],
  ['INDR', 'ED BA', '4 5 4 3 5 / 4 5 4 3', 'let x = inputBlock(-1); when B { idle; againPort(x) }'],
  ['OUTI', 'ED A3', '4 5 3 4', 'let x = outputBlock(1)'],
  ['OUTD', 'ED AB', '4 5 3 4', 'let x = outputBlock(-1)'],
  ['OTIR', 'ED B3', '4 5 3 4 5 / 4 5 3 4', 'let x = outputBlock(1); when B { idle; againPort(x) }'],
  ['OTDR', 'ED BB', '4 5 3 4 5 / 4 5 3 4', 'let x = outputBlock(-1); when B { idle; againPort(x) }'],
]
