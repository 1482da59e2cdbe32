import type { Row } from './table.ts'

/** Input and output of one byte. All 16 bits of the port address are on the bus: A or B is its high half. */
export const ports: readonly Row[] = [
  ['IN A,(n)', 'DB n', '4 3 4', 'let port = A << 8 | n; WZ = port + 1; A = input(port)'],
  ['IN r,(C)', 'ED 01rrr000', '4 4 4', 'r = inputFlags()'],
  ['OUT (n),A', 'D3 n', '4 3 4', 'output(A << 8 | n, A); WZ = storedAt(n)'],
  ['OUT (C),r', 'ED 01rrr001', '4 4 4', 'output(BC, r); WZ = BC + 1'],
]
