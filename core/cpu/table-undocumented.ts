import type { Row } from './table.ts'

/**
 * What the manual leaves out and the silicon does: halves of IX and IY, SLL, results of DD CB copied into a register,
 * and duplicates. Source: step cases of SingleStepTests and z80-timing-undocumented.csv.
 */
export const undocumented: readonly Row[] = [
  ['LD u,v', 'DD 01uuuvvv', '4 4', 'u = v'],
  ['LD u,n', 'DD 00uuu110 n', '4 4 3', 'u = n'],
  ['INC u', 'DD 00uuu100', '4 4', 'u = inc(u)'],
  ['DEC u', 'DD 00uuu101', '4 4', 'u = dec(u)'],
  ['ADD A,u', 'DD 10000uuu', '4 4', 'add(u)'],
  ['ADC A,u', 'DD 10001uuu', '4 4', 'adc(u)'],
  ['SUB u', 'DD 10010uuu', '4 4', 'sub(u)'],
  ['SBC A,u', 'DD 10011uuu', '4 4', 'sbc(u)'],
  ['AND u', 'DD 10100uuu', '4 4', 'and(u)'],
  ['XOR u', 'DD 10101uuu', '4 4', 'xor(u)'],
  ['OR u', 'DD 10110uuu', '4 4', 'or(u)'],
  ['CP u', 'DD 10111uuu', '4 4', 'cp(u)'],

  // SLL shifts a 1 in from the right.
  ['SLL r', 'CB 00110rrr', '4 4', 'r = sll(r)'],
  ['SLL (HL)', 'CB 36', '4 4 4 3', 'write(HL, sll(read(HL)))'],
  ['SLL (IX+d)', 'DD CB d 36', '4 4 3 5 4 3', 'WZ = IX + d; write(WZ, sll(read(WZ)))'],

  ['RLC (IX+d),r', 'DD CB d 00000rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = rlc(read(WZ)); write(WZ, r)'],
  ['RRC (IX+d),r', 'DD CB d 00001rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = rrc(read(WZ)); write(WZ, r)'],
  ['RL (IX+d),r', 'DD CB d 00010rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = rl(read(WZ)); write(WZ, r)'],
  ['RR (IX+d),r', 'DD CB d 00011rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = rr(read(WZ)); write(WZ, r)'],
  ['SLA (IX+d),r', 'DD CB d 00100rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = sla(read(WZ)); write(WZ, r)'],
  ['SRA (IX+d),r', 'DD CB d 00101rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = sra(read(WZ)); write(WZ, r)'],
  ['SLL (IX+d),r', 'DD CB d 00110rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = sll(read(WZ)); write(WZ, r)'],
  ['SRL (IX+d),r', 'DD CB d 00111rrr', '4 4 3 5 4 3', 'WZ = IX + d; r = srl(read(WZ)); write(WZ, r)'],
  ['RES b,(IX+d),r', 'DD CB d 10bbbrrr', '4 4 3 5 4 3', 'WZ = IX + d; r = read(WZ) & ~(1 << b); write(WZ, r)'],
  ['SET b,(IX+d),r', 'DD CB d 11bbbrrr', '4 4 3 5 4 3', 'WZ = IX + d; r = read(WZ) | 1 << b; write(WZ, r)'],
  ['BIT b,(IX+d)', 'DD CB d 01bbbrrr', '4 4 3 5 4', 'WZ = IX + d; bit(b, read(WZ), WZ >> 8)', 'alias'],

  ['IN F,(C)', 'ED 70', '4 4 4', 'let x = inputFlags()'],
  // NMOS parts put 00 on the bus, CMOS parts FF.
  ['OUT (C),0', 'ED 71', '4 4 4', 'output(BC, 0); WZ = BC + 1'],

  ['NEG', 'ED 4C', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['NEG', 'ED 54', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['NEG', 'ED 5C', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['NEG', 'ED 64', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['NEG', 'ED 6C', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['NEG', 'ED 74', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['NEG', 'ED 7C', '4 4', 'let x = A; A = 0; sub(x)', 'alias'],
  ['RETN', 'ED 55', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ', 'alias'],
  ['RETN', 'ED 5D', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ', 'alias'],
  ['RETN', 'ED 65', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ', 'alias'],
  ['RETN', 'ED 6D', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ', 'alias'],
  ['RETN', 'ED 75', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ', 'alias'],
  ['RETN', 'ED 7D', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ', 'alias'],
  ['IM 0', 'ED 4E', '4 4', 'IM = 0', 'alias'],
  ['IM 0', 'ED 66', '4 4', 'IM = 0', 'alias'],
  ['IM 0', 'ED 6E', '4 4', 'IM = 0', 'alias'],
  ['IM 1', 'ED 76', '4 4', 'IM = 1', 'alias'],
  ['IM 2', 'ED 7E', '4 4', 'IM = 2', 'alias'],
]
