/**
 * The rules by which instructions change flags, memory and the hidden word WZ (MEMPTR), in the language of `effect.ts`.
 * A rule that has a result ends with `give`. Setting F also notes that the flags changed (Q), setting AF does not.
 *
 * Flag tables by a result: `sz53` S, Z and copies of bits 5 and 3; `sz53p` with even parity in P; `incremented` and
 * `decremented` S, Z, 5, 3, H, V, N. `carries` and `borrows` take the bits that were carried into each place, nine of
 * them, and give H (into 4), V (into 7 differs from out of 7), C (out of 7); `borrows` sets N as well. See `flags.ts`.
 *
 * Sources: the manual UM0080 for S Z H P/V N C; SingleStepTests/z80 for bits 5 and 3, WZ, Q and the repeating blocks.
 */
export const rules: Readonly<Record<string, string>> = {
  'add(x)': 'let a = A; let sum = a + x; F = sz53(sum) | carries(a ^ x ^ sum); A = sum',
  'adc(x)': 'let a = A; let sum = a + x + CF; F = sz53(sum) | carries(a ^ x ^ sum); A = sum',
  'sub(x)': 'let a = A; let rest = a - x; F = sz53(rest) | borrows(a ^ x ^ rest); A = rest',
  'sbc(x)': 'let a = A; let rest = a - x - CF; F = sz53(rest) | borrows(a ^ x ^ rest); A = rest',
  // The result is thrown away: bits 5 and 3 come from the operand.
  'cp(x)': `
    let a = A; let rest = a - x
    F = sz53(rest) & ~(bitY | bitX) | x & (bitY | bitX) | borrows(a ^ x ^ rest)`,
  'and(x)': 'let y = A & x; F = sz53p(y) | bitH; A = y',
  'xor(x)': 'let y = A ^ x; F = sz53p(y); A = y',
  'or(x)': 'let y = A | x; F = sz53p(y); A = y',
  'inc(x)': 'let y = x + 1; F = CF | incremented(y); give y',
  'dec(x)': 'let y = x - 1; F = CF | decremented(y); give y',

  'addWords(a, x)': `
    let sum = a + x; WZ = a + 1
    F = F & (bitS | bitZ | bitP) | sum >> 8 & (bitY | bitX) | (a ^ x ^ sum) >> 8 & bitH | sum >> 16
    give sum`,
  'adcWords(x)': `
    let a = HL; let sum = a + x + CF; WZ = a + 1
    F = sum >> 8 & (bitS | bitY | bitX) | (sum & 0xFFFF ? 0 : bitZ) | (a ^ x ^ sum) >> 8 & bitH
      | ((a ^ sum) & (x ^ sum)) >> 13 & bitP | sum >> 16
    give sum`,
  'sbcWords(x)': `
    let a = HL; let rest = a - x - CF; WZ = a + 1
    F = rest >> 8 & (bitS | bitY | bitX) | (rest & 0xFFFF ? 0 : bitZ) | (a ^ x ^ rest) >> 8 & bitH
      | ((a ^ x) & (a ^ rest)) >> 13 & bitP | bitN | rest >> 16 & bitC
    give rest`,

  // Corrects each digit by 6 where it passed 9 or was carried out of; H tells whether the correction carried.
  'daa()': `
    let old = A
    let low = HF | (old & 0x0F) > 9 ? 0x06 : 0
    let carry = CF | old > 0x99
    let fix = low | (carry ? 0x60 : 0)
    let y = NF ? old - fix : old + fix
    F = sz53p(y) | (old ^ y) & bitH | F & bitN | carry
    A = y`,
  'complement()': 'let y = ~A; F = F & (bitS | bitZ | bitP | bitC) | y & (bitY | bitX) | bitH | bitN; A = y',
  // SCF and CCF: bits 5 and 3 are A's, joined with F's own if the instruction before left the flags alone.
  'carryFlag(carry)': 'F = F & (bitS | bitZ | bitP) | (Q ^ F | A) & (bitY | bitX) | carry',
  // LD A,I and LD A,R. An interrupt accepted right behind them makes P/V read 0 on NMOS parts.
  'interruptFlag()': 'F = CF | sz53(A) | (IFF2 ? bitP : 0); interruptFlagRead',

  'rotateLeft(x)': 'give x << 1 | x >> 7',
  'rotateRight(x)': 'give x >> 1 | x << 7',
  // RLCA, RRCA, RLA, RRA leave S, Z and P alone.
  'accumulator(y, carry)': 'F = F & (bitS | bitZ | bitP) | y & (bitY | bitX) | carry; A = y',
  'rlc(x)': 'let y = x << 1 | x >> 7; F = sz53p(y) | x >> 7; give y',
  'rrc(x)': 'let y = x >> 1 | x << 7; F = sz53p(y) | x & 1; give y',
  'rl(x)': 'let y = x << 1 | CF; F = sz53p(y) | x >> 7; give y',
  'rr(x)': 'let y = x >> 1 | CF << 7; F = sz53p(y) | x & 1; give y',
  'sla(x)': 'let y = x << 1; F = sz53p(y) | x >> 7; give y',
  'sra(x)': 'let y = x >> 1 | x & 0x80; F = sz53p(y) | x & 1; give y',
  'sll(x)': 'let y = x << 1 | 1; F = sz53p(y) | x >> 7; give y',
  'srl(x)': 'let y = x >> 1; F = sz53p(y) | x & 1; give y',
  'digitsMoved()': 'F = CF | sz53p(A); WZ = HL + 1',
  // P is set like Z; S only by bit 7. `seen` is where bits 5 and 3 come from.
  'bit(b, x, seen)': 'F = CF | bitH | sz53p(x & 1 << b) & ~(bitY | bitX) | seen & (bitY | bitX)',

  // WZ after a store of A: the low byte counts on, the high byte is A.
  'storedAt(address)': 'give address + 1 & 0xFF | A << 8',
  'readWord(address)': 'let low = read(address); WZ = address + 1; let high = read(WZ); give high << 8 | low',
  'writeWord(address, x)': 'write(address, x & 0xFF); WZ = address + 1; write(WZ, x >> 8)',
  'push(x)': 'let top = SP; write(top - 1, x >> 8); write(top - 2, x & 0xFF); SP = top - 2',
  'pop()': 'let top = SP; let low = read(top); let high = read(top + 1); SP = top + 2; give high << 8 | low',
  'swapTop(x)': `
    let top = SP; let low = read(top); let high = read(top + 1)
    write(top + 1, x >> 8); write(top, x & 0xFF)
    give high << 8 | low`,

  // Bits 5 and 3 come from bits 1 and 3 of the sum of A and the byte moved.
  'moveBlock(step)': `
    let from = HL; let to = DE; let count = BC - 1 & 0xFFFF
    let x = read(from); write(to, x)
    HL = from + step; DE = to + step; BC = count
    let n = A + x
    F = F & (bitS | bitZ | bitC) | n & bitX | n << 4 & bitY | (count ? bitP : 0)
    give count`,
  'compareBlock(step)': `
    let from = HL; let count = BC - 1 & 0xFFFF
    let x = read(from); idle
    let rest = A - x; let half = (A ^ x ^ rest) & bitH; let n = rest - (half >> 4)
    HL = from + step; BC = count; WZ = WZ + step
    F = CF | sz53(rest) & (bitS | bitZ) | half | n & bitX | n << 4 & bitY | (count ? bitP : 0) | bitN`,
  'inputFlags()': 'let x = input(BC); WZ = BC + 1; F = CF | sz53p(x); give x',
  'inputBlock(step)': `
    let x = input(BC); WZ = BC + step; B = B - 1
    write(HL, x); HL = HL + step
    portFlags(x, C + step & 0xFF)
    give x`,
  'outputBlock(step)': `
    let x = read(HL); B = B - 1
    output(BC, x); WZ = BC + step; HL = HL + step
    portFlags(x, L)
    give x`,
  'portFlags(x, y)': `
    let sum = x + y
    F = sz53(B) | x >> 6 & bitN | (sum > 0xFF ? bitH | bitC : 0) | sz53p(sum & 7 ^ B) & bitP`,

  // The PC steps back through the 16-bit adder, so bits 5 and 3 of its high byte show in F.
  'again()': 'WZ = PC - 1; PC = PC - 2; F = F & ~(bitY | bitX) | PC >> 8 & (bitY | bitX)',
  // Of the port blocks B goes through the adder too, one up or down if there was a carry, and shows in P and H.
  'againPort(x)': `
    again()
    let count = CF ? (x & 0x80 ? B - 1 : B + 1) : B
    let half = CF ? (x & 0x80 ? !(B & 0x0F) : (B & 0x0F) == 0x0F) : 0
    F = (F ^ sz53p(count & 7) & bitP ^ bitP) & ~bitH | (half ? bitH : 0)`,
}
