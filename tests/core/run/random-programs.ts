import fc from 'fast-check'
import { benchEight, type BoardProfile } from '../../../core/board/index.ts'
import type { RunRequest } from '../../../core/run/index.ts'
import { request } from './programs.ts'

const { timer } = benchEight
if (timer === null) throw new Error('Bench-8 has a timer')

/** Bench-8 with a timer that ticks every 833 or 834 T: a border of a cut falls on many a tick. */
export const quickTimer: BoardProfile = { ...benchEight, timer: { ...timer, hz: 3000 } }

/** One thing that a program may do, as assembly; nothing jumps, so that a list of them comes to its end. */
const deeds = [
  ...['NOP', 'INC A', 'EI', 'DI', 'EI | EI | EI', 'EI | NOP', 'DI | NOP', 'EI | HALT', 'SCF', 'LD A,R', 'LD A,I'],
  ...['OUT (22H),A', 'IN A,(23H)', 'LD (4600H),A', 'LD A,R | OUT (20H),A | LD A,1 | OUT (21H),A', 'EXX', "EX AF,AF'"],
  ...['PUSH AF | POP BC', 'DB 0DDH,0DDH,0FDH | LD A,(IX+1)', 'DB 0FDH,0FDH,0FDH,0FDH | INC B', 'LD B,40 | DJNZ $'],
  ...['LD HL,4600H | LD DE,4640H | LD BC,90 | LDIR', 'LD BC,1 | EI | CALL WAITMS', 'LD B,A | DJNZ $', 'IM 1'],
  ...['XOR 1 | OUT (22H),A | LD B,60 | DJNZ $ | XOR 1 | OUT (22H),A', 'LD HL,4610H | INC (HL)', 'LD A,23H | CP 4'],
  ...['IN A,(25H)', 'IN A,(25H) | LD HL,4620H | XOR (HL) | LD (HL),A'],
]
const handlers = [
  ...['EI | RET', 'RET', 'EI | RETI', 'RETN', 'PUSH AF | LD A,(4601H) | INC A | LD (4601H),A | POP AF | EI | RET'],
  ...['EI | NOP | NOP | RET', 'LD A,R | OUT (22H),A | EI | RET', 'EI | HALT | RET', 'POP HL | EI | JP LAST'],
]
const ends = [
  'DI | HALT',
  'EI | HALT',
  'EI | AGAIN: HALT | JR AGAIN',
  'JP BEGIN',
  'LOOP: JR LOOP',
  'POP HL | POP HL | RET',
]

/** Programs that use the timer, HALT, ports and prefixes in any order, with a handler and an end of some kind. */
export const anyProgram = fc
  .record({
    begin: fc.constantFrom('EI', 'DI'),
    deeds: fc.array(fc.constantFrom(...deeds), { minLength: 1, maxLength: 24 }),
    handler: fc.constantFrom(...handlers),
    end: fc.constantFrom(...ends),
    isQuick: fc.boolean(),
    moves: fc.array(fc.tuple(fc.nat(40_000), fc.nat(255)), { maxLength: 4 }),
    presses: fc.array(fc.tuple(fc.constantFrom('0', '7', 'A'), fc.nat(40_000), fc.nat(9_000)), { maxLength: 3 }),
  })
  .map(({ begin, deeds: list, handler, end, isQuick, moves, presses }): RunRequest =>
    request(
      `BEGIN: LD HL,TICK | LD (4710H),HL | ${begin} | ${list.join(' | ')} | LAST: ${end.includes(':') ? 'NOP | ' : ''}${end}
         | TICK: ${handler}`,
      {
        ...{ profile: isQuick ? quickTimer : benchEight, budget: 60_000, isWatchingWrites: presses.length === 2 },
        given: {
          ...{ fill: { seed: 5 }, isTimerOn: true },
          switches: moves.length,
          switchMoves: moves.map(([at, value]) => ({ at, value })),
          keys: presses.map(([key, from, length]) => ({ key, from, to: from + length, bounceTStates: length >> 2 })),
        },
      },
    ),
  )
