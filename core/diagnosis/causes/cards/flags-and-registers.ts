import type { ConceptCard } from '../cause.ts'

/** Cards about flags, registers and the stack. */
export const flagAndRegisterCards = {
  'flag-clobbered': {
    title: 'A flag lives until the next one',
    text: 'A jump or ADC looks at the flags as the last instruction that sets them has left them. LD, PUSH, POP of other pairs, INC and DEC of pairs, JP and RET change none; INC and DEC of a byte keep the carry; XOR A, OR A and AND A reset it.',
    example: 'ADD A,(HL) / LD A,0 / ADC A,A gives the carry. With XOR A instead of LD A,0 it is always 0.',
  },
  'pair-sets-no-flag': {
    title: 'Counting with a pair',
    text: 'INC and DEC of BC, DE, HL, IX and IY change no flag at all. A jump on Z behind them looks at older flags. To test a pair for 0, join its halves with OR in A.',
    example: 'DEC BC / LD A,B / OR C / JR NZ,LOOP: OR gives Z only if every bit of B and C is 0.',
  },
  'flag-not-set': {
    title: 'A flag as an answer',
    text: 'A routine can answer with a flag. It is the last instruction before RET that sets flags which decides, so that one must look at the result. LD sets none; INC and DEC set Z for what they counted, not for your result.',
    example: 'OR A sets Z if A is 0, resets the carry, and leaves A as it is. SCF sets the carry.',
  },
  'carry-lost': {
    title: 'The carry between bytes',
    text: 'A sum of two bytes may need nine bits. The ninth is the carry. The next byte of a wider sum takes it in with ADC; or count a high byte up when there is a carry. LD and INC of pairs keep it on the way.',
    example: '01FFh + 0001h: FFh + 01h = 00h with carry, then 01h + 00h + carry = 02h. Result 0200h.',
  },
  'carry-not-cleared': {
    title: 'The carry before the first byte',
    text: 'ADC, SBC, RLA, RRA, RL and RR take the carry in. For the first byte there is none that belongs to it, so use ADD, SUB or a shift, or clear the carry first with OR A. There is no SUB HL: clear the carry and use SBC HL.',
    example: 'OR A / SBC HL,DE is HL − DE. Without OR A it may be one less.',
  },
  'decimal-adjust-missing': {
    title: 'Decimal digits need DAA',
    text: 'Each half of a byte can hold one decimal digit. The processor adds in binary; DAA right behind the addition of a byte corrects each half that passed 9 and sets the carry for the next two digits. It works on A alone, and INC of a pair or ADD HL cannot be adjusted.',
    example: '08h + 05h = 0Dh, DAA makes 13h. 67h + 89h = F0h, DAA makes 56h with carry: 156.',
  },
  'zero-test-spoils-a': {
    title: 'The test that overwrites A',
    text: 'LD A,B / OR C is the usual way to test BC for 0, and it puts something else into A. Whatever stood in A before and is needed afterwards has to wait elsewhere: LD into another register changes no flag, so it may be taken back before the jump.',
    example: 'LD L,A / DEC BC / LD A,B / OR C / LD A,L / JR NZ,LOOP keeps A.',
  },
  'register-destroyed-by-call': {
    title: 'What a call may change',
    text: 'A routine works with the same registers as its caller. Its description says what it needs, what it gives and what it changes. What must survive goes into a register that is not on the list, or onto the stack before the call and back after it.',
    example: 'PUSH BC / CALL 0040h / POP BC keeps a count in B, whatever the routine does with it.',
  },
  'register-not-kept': {
    title: 'Give back what you borrowed',
    text: 'Where registers have to come back as they were, push them at the start and pop them before the end, in the opposite order, on every way out. In an interrupt handler that holds for every register it touches, A and the flags first.',
    example: 'PUSH BC / PUSH DE / … / POP DE / POP BC / RET.',
  },
  'stack-imbalance': {
    title: 'As many POPs as PUSHes',
    text: 'RET takes whatever two bytes stand on top of the stack as its address. On every way through a routine each PUSH needs one POP before RET, and a loop must leave SP as it found it. A jump past a POP leaves its bytes on the stack.',
    example: 'PUSH BC / … / RET returns to the number that was in BC.',
  },
  'stack-unset': {
    title: 'A stack needs RAM',
    text: 'PUSH and CALL write below SP. SP must point to the end of free RAM before the first of them. Where no RAM is, what they write is lost, and RET goes to whatever is read there.',
    example: 'LD SP,4800h: the first PUSH writes to 47FFh and 47FEh.',
  },
  'stack-too-deep': {
    title: 'How deep the stack goes',
    text: 'Each PUSH and each CALL takes two bytes until its POP or RET. The deepest point is where most of them are open at once; a routine called adds what it uses itself. RAM below the stack may hold data, so a task may set a limit.',
    example: 'PUSH BC / PUSH DE / CALL X is 6 bytes deep inside X, and more if X pushes too.',
  },
  'not-initialised': {
    title: 'Nothing starts at 0',
    text: 'After power-on registers and RAM hold what chance left in them. A sum, a count or a high byte has to be set before it is used for the first time. That it worked once means only that chance was kind.',
    example: 'LD D,0 / LD E,C makes DE equal to C. LD E,C alone leaves anything in D.',
  },
  'wrong-register': {
    title: 'Who holds what',
    text: 'Write down, at each label, what every register holds: A = level, B = rounds left, HL = next byte. Then read each instruction against that list. An instruction with the neighbouring register is a good one of another program.',
    example: 'D = key at the last look, E = key now: XOR D tells whether it changed, AND E whether it is down now.',
  },
} as const satisfies Readonly<Record<string, ConceptCard>>
