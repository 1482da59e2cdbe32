import type { Row } from './table.ts'

/** Jumps, calls, returns, and the control of the CPU itself. No flags. */
export const control: readonly Row[] = [
  ['JP nn', 'C3 nl nh', '4 3 3', 'WZ = nn; PC = nn'],
  ['JP cc,nn', '11ccc010 nl nh', '4 3 3', 'WZ = nn; if cc { PC = nn }'],
  ['JP (HL)', 'E9', '4', 'PC = HL'],
  ['JP (IX)', 'DD E9', '4 4', 'PC = IX'],
  ['JR e', '18 e', '4 3 5', 'idle; WZ = PC + e; PC = WZ'],
  ['JR kk,e', '001kk000 e', '4 3 5 / 4 3', 'when kk { idle; WZ = PC + e; PC = WZ }'],
  ['DJNZ e', '10 e', '5 3 5 / 5 3', 'let rest = B - 1 & 0xFF; B = rest; when rest { idle; WZ = PC + e; PC = WZ }'],
  ['CALL nn', 'CD nl nh', '4 3 4 3 3', 'WZ = nn; push(PC); PC = nn'],
  ['CALL cc,nn', '11ccc100 nl nh', '4 3 4 3 3 / 4 3 3', 'WZ = nn; when cc { push(PC); PC = nn }'],
  ['RET', 'C9', '4 3 3', 'WZ = pop(); PC = WZ'],
  ['RET cc', '11ccc000', '5 3 3 / 5', 'when cc { WZ = pop(); PC = WZ }'],
  ['RETI', 'ED 4D', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ'],
  ['RETN', 'ED 45', '4 4 3 3', 'IFF1 = IFF2; WZ = pop(); PC = WZ'],
  ['RST t', '11ttt111', '5 3 3', 'push(PC); WZ = t; PC = t'],

  ['NOP', '00', '4', ''],
  ['HALT', '76', '4', 'halt'],
  ['DI', 'F3', '4', 'IFF1 = 0; IFF2 = 0'],
  ['EI', 'FB', '4', 'IFF1 = 1; IFF2 = 1; holdInterrupts'],
  ['IM 0', 'ED 46', '4 4', 'IM = 0'],
  ['IM 1', 'ED 56', '4 4', 'IM = 1'],
  ['IM 2', 'ED 5E', '4 4', 'IM = 2'],
]

/**
 * What the CPU does instead of an instruction when it accepts an interrupt. Source: reference table
 * z80-timing-other.csv. `bus` is the byte on the data bus while the interrupt is acknowledged. In mode 0 that byte is
 * the instruction to execute; the line here is for RST, all others are executed by `evaluate.ts`.
 */
export const acceptance = {
  nmi: { cycles: '5 3 3', effect: 'IFF1 = 0; push(PC); WZ = 0x66; PC = WZ' },
  mode0: { cycles: '7 3 3', effect: 'IFF1 = 0; IFF2 = 0; push(PC); WZ = bus & 0x38; PC = WZ' },
  mode1: { cycles: '7 3 3', effect: 'IFF1 = 0; IFF2 = 0; push(PC); WZ = 0x38; PC = WZ' },
  mode2: {
    cycles: '7 3 3 3 3',
    effect:
      'IFF1 = 0; IFF2 = 0; push(PC); let x = I << 8 | bus; let low = read(x); WZ = read(x + 1) << 8 | low; PC = WZ',
  },
} as const
