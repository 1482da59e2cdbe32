import type { Row } from './table.ts'

/** Rotates, shifts and single bits. */
export const bits: readonly Row[] = [
  ['RLCA', '07', '4', 'accumulator(rotateLeft(A), A >> 7)'],
  ['RLA', '17', '4', 'accumulator(A << 1 | CF, A >> 7)'],
  ['RRCA', '0F', '4', 'accumulator(rotateRight(A), A & 1)'],
  ['RRA', '1F', '4', 'accumulator(A >> 1 | CF << 7, A & 1)'],

  ['RLC r', 'CB 00000rrr', '4 4', 'r = rlc(r)'],
  ['RLC (HL)', 'CB 06', '4 4 4 3', 'write(HL, rlc(read(HL)))'],
  ['RLC (IX+d)', 'DD CB d 06', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, rlc(read(WZ)))'],
  ['RL r', 'CB 00010rrr', '4 4', 'r = rl(r)'],
  ['RL (HL)', 'CB 16', '4 4 4 3', 'write(HL, rl(read(HL)))'],
  ['RL (IX+d)', 'DD CB d 16', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, rl(read(WZ)))'],
  ['RRC r', 'CB 00001rrr', '4 4', 'r = rrc(r)'],
  ['RRC (HL)', 'CB 0E', '4 4 4 3', 'write(HL, rrc(read(HL)))'],
  ['RRC (IX+d)', 'DD CB d 0E', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, rrc(read(WZ)))'],
  ['RR r', 'CB 00011rrr', '4 4', 'r = rr(r)'],
  ['RR (HL)', 'CB 1E', '4 4 4 3', 'write(HL, rr(read(HL)))'],
  ['RR (IX+d)', 'DD CB d 1E', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, rr(read(WZ)))'],
  ['SLA r', 'CB 00100rrr', '4 4', 'r = sla(r)'],
  ['SLA (HL)', 'CB 26', '4 4 4 3', 'write(HL, sla(read(HL)))'],
  ['SLA (IX+d)', 'DD CB d 26', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, sla(read(WZ)))'],
  ['SRA r', 'CB 00101rrr', '4 4', 'r = sra(r)'],
  ['SRA (HL)', 'CB 2E', '4 4 4 3', 'write(HL, sra(read(HL)))'],
  ['SRA (IX+d)', 'DD CB d 2E', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, sra(read(WZ)))'],
  ['SRL r', 'CB 00111rrr', '4 4', 'r = srl(r)'],
  ['SRL (HL)', 'CB 3E', '4 4 4 3', 'write(HL, srl(read(HL)))'],
  ['SRL (IX+d)', 'DD CB d 3E', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, srl(read(WZ)))'],

  [
    'RLD',
    'ED 6F',
    '4 4 3 4 3',
    'let x = read(HL); idle; write(HL, x << 4 | A & 0x0F); A = A & 0xF0 | x >> 4; digitsMoved()',
  ],
  [
    'RRD',
    'ED 67',
    '4 4 3 4 3',
    'let x = read(HL); idle; write(HL, A << 4 | x >> 4); A = A & 0xF0 | x & 0x0F; digitsMoved()',
  ],

  // Bits 5 and 3 of F come from the operand; from the high byte of WZ where the operand is in memory.
  ['BIT b,r', 'CB 01bbbrrr', '4 4', 'bit(b, r, r)'],
  ['BIT b,(HL)', 'CB 01bbb110', '4 4 4', 'bit(b, read(HL), WZ >> 8)'],
  ['BIT b,(IX+d)', 'DD CB d 01bbb110', '4 4 3 5 4', 'WZ = IX + d; bit(b, read(WZ), WZ >> 8)'],
  ['SET b,r', 'CB 11bbbrrr', '4 4', 'r = r | 1 << b'],
  ['SET b,(HL)', 'CB 11bbb110', '4 4 4 3', 'write(HL, read(HL) | 1 << b)'],
  ['SET b,(IX+d)', 'DD CB d 11bbb110', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, read(WZ) | 1 << b)'],
  ['RES b,r', 'CB 10bbbrrr', '4 4', 'r = r & ~(1 << b)'],
  ['RES b,(HL)', 'CB 10bbb110', '4 4 4 3', 'write(HL, read(HL) & ~(1 << b))'],
  ['RES b,(IX+d)', 'DD CB d 10bbb110', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, read(WZ) & ~(1 << b))'],
]
