import { firmwareSymbols } from './generated/bench-8-firmware.ts'
import type { KeyingGuide } from './keying-guide.ts'

const { STATE, TAPE, HALF, GOING, STARTS, SUMMED, AWAY } = firmwareSymbols

const moving = [
  { keys: 'LEFT RIGHT', does: 'one byte back, one byte on' },
  { keys: 'INSERT', does: 'makes room: a 00 here, the rest of the page one on' },
  { keys: 'REMOVE', does: 'takes this byte out, the rest of the page one back' },
  { keys: 'CHECK', does: 'S and W of the line that ends before this byte' },
  { keys: 'AT', does: 'shows the whole address; key another' },
  { keys: 'RUN', does: 'shows where a run would start' },
]

/** How the monitor of Bench-8 is used. */
export const benchEightKeying: KeyingGuide = {
  steps: [
    'Memory is a tape of bytes. The digits show three of them and a place: before, here, after, and the last two figures of the address of "here".',
    'The point marks the figure you key next. Two figures make a byte; it is written, and the tape moves on by itself.',
    'At the end of each line of your sheet, compare the place with the address of the next line. One more: you keyed a byte twice. One less: you missed one. CHECK shows the line’s S and W.',
    'A wrong byte: LEFT to it and key it again. A byte too many: REMOVE. A byte missing: INSERT, then key it.',
    'To another address: AT, then its four figures. To run from 4000h: RUN, and RUN again.',
    'After HALT the digits stay dark: press Reset above the board. Memory is kept.',
  ],
  stateAt: STATE,
  states: [
    {
      value: TAPE,
      title: 'Ready for a byte',
      keys: [{ keys: '0 to F', does: 'the first figure of the byte at the point' }, ...moving],
    },
    {
      value: HALF,
      title: 'Half a byte is keyed, nothing is written yet',
      keys: [
        { keys: '0 to F', does: 'the second figure: the byte is written' },
        { keys: 'LEFT STOP', does: 'take the first figure back' },
      ],
    },
    {
      value: GOING,
      title: 'Which address?',
      keys: [
        { keys: '0 to F', does: 'replaces the figure at the point; the fourth leads there' },
        { keys: 'AT', does: 'goes to the address as it is shown' },
        { keys: 'STOP', does: 'stays where you were' },
      ],
    },
    {
      value: STARTS,
      title: 'Run from this address?',
      keys: [
        { keys: 'RUN', does: 'starts there' },
        { keys: '0 to F', does: 'replaces the figure at the point' },
        { keys: 'STOP', does: 'runs nothing' },
      ],
    },
    {
      value: SUMMED,
      title: 'S, W and the place',
      keys: [
        { keys: '0 to F', does: 'goes on keying' },
        { keys: 'STOP', does: 'back to the bytes' },
        ...moving.filter(({ keys }) => keys === 'LEFT RIGHT'),
      ],
    },
    {
      value: AWAY,
      title: 'A program has the board',
      keys: [{ keys: 'all', does: 'what the program makes of them; Reset leads back to the monitor' }],
    },
  ],
}
