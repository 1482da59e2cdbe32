import type { PanelName } from './Arrangement.svelte.ts'

/** What a key does while the trace has the keyboard. */
export type TraceCommand =
  | { readonly kind: 'by'; readonly steps: number }
  | {
      readonly kind:
        | 'first'
        | 'last'
        | 'over'
        | 'first-wrong'
        | 'show-whole'
        | 'show-step'
        | 'table'
        | 'lanes'
        | 'beside'
        | 'findings'
        | 'help'
    }
  | { readonly kind: 'find' | 'port-write'; readonly direction: 'back' | 'on' }
  | { readonly kind: 'finding'; readonly way: 1 | -1 }
  | { readonly kind: 'panel'; readonly panel: PanelName }
  | { readonly kind: 'zoom'; readonly factor: number }
  | { readonly kind: 'pan'; readonly share: number }

interface KeyRow {
  /** As `KeyboardEvent.key` gives it. */
  readonly keys: readonly string[]
  readonly isShift: boolean | null
  readonly command: TraceCommand
  /** As the help writes it; rows without words are second spellings. */
  readonly shown?: string
  readonly words?: string
}

const panel = (name: PanelName): TraceCommand => ({ kind: 'panel', panel: name })

const rows: readonly KeyRow[] = [
  { keys: ['ArrowRight'], isShift: false, command: { kind: 'by', steps: 1 }, shown: '→', words: 'one step on' },
  { keys: ['ArrowLeft'], isShift: false, command: { kind: 'by', steps: -1 }, shown: '←', words: 'one step back' },
  {
    keys: ['ArrowRight'],
    isShift: true,
    command: { kind: 'by', steps: 100 },
    shown: 'Shift →',
    words: 'a hundred steps on',
  },
  {
    keys: ['ArrowLeft'],
    isShift: true,
    command: { kind: 'by', steps: -100 },
    shown: 'Shift ←',
    words: 'a hundred steps back',
  },
  { keys: ['Home'], isShift: null, command: { kind: 'first' }, shown: 'Home', words: 'the start of the run' },
  { keys: ['End'], isShift: null, command: { kind: 'last' }, shown: 'End', words: 'the end of the run' },
  {
    keys: ['o'],
    isShift: false,
    command: { kind: 'over' },
    shown: 'o',
    words: 'over a call: on to where it has returned',
  },
  {
    keys: ['f'],
    isShift: false,
    command: { kind: 'find', direction: 'on' },
    shown: 'f',
    words: 'run on to what is chosen',
  },
  {
    keys: ['b'],
    isShift: false,
    command: { kind: 'find', direction: 'back' },
    shown: 'b',
    words: 'run back to what is chosen',
  },
  {
    keys: ['p'],
    isShift: false,
    command: { kind: 'port-write', direction: 'on' },
    shown: 'p',
    words: 'on to the next port write',
  },
  {
    keys: ['P'],
    isShift: true,
    command: { kind: 'port-write', direction: 'back' },
    shown: 'Shift p',
    words: 'back to the port write before',
  },
  { keys: ['w'], isShift: false, command: { kind: 'first-wrong' }, shown: 'w', words: 'where it first went wrong' },
  { keys: ['d'], isShift: false, command: { kind: 'finding', way: 1 }, shown: 'd', words: 'the next finding' },
  { keys: ['D'], isShift: true, command: { kind: 'finding', way: -1 }, shown: 'Shift d', words: 'the finding before' },
  { keys: ['e'], isShift: false, command: { kind: 'findings' }, shown: 'e', words: 'all findings, or the first only' },
  { keys: ['n'], isShift: false, command: panel('notes'), shown: 'n', words: 'write a note; Ctrl Enter pins it' },
  { keys: ['q'], isShift: false, command: panel('ask'), shown: 'q', words: 'ask the run a question' },
  { keys: ['1'], isShift: false, command: panel('listing'), shown: '1', words: 'to the listing' },
  { keys: ['2'], isShift: false, command: panel('registers'), shown: '2', words: 'to the registers' },
  { keys: ['3'], isShift: false, command: panel('memory'), shown: '3', words: 'to the memory' },
  { keys: ['4'], isShift: false, command: panel('stack'), shown: '4', words: 'to the stack' },
  { keys: ['5'], isShift: false, command: panel('axis'), shown: '5', words: 'to the time axis' },
  {
    keys: ['+', '='],
    isShift: null,
    command: { kind: 'zoom', factor: 0.5 },
    shown: '+',
    words: 'look closer at the time axis',
  },
  { keys: ['-', '_'], isShift: null, command: { kind: 'zoom', factor: 2 }, shown: '−', words: 'look wider' },
  { keys: ['0'], isShift: null, command: { kind: 'show-whole' }, shown: '0', words: 'the whole run' },
  { keys: ['.'], isShift: null, command: { kind: 'show-step' }, shown: '.', words: 'close to the step' },
  { keys: ['['], isShift: null, command: { kind: 'pan', share: -0.5 }, shown: '[', words: 'half a window earlier' },
  { keys: [']'], isShift: null, command: { kind: 'pan', share: 0.5 }, shown: ']', words: 'half a window later' },
  {
    keys: ['t'],
    isShift: false,
    command: { kind: 'table' },
    shown: 't',
    words: 'the time axis as a table, or as a drawing',
  },
  { keys: ['l'], isShift: false, command: { kind: 'lanes' }, shown: 'l', words: 'choose and order the lanes' },
  {
    keys: ['m'],
    isShift: false,
    command: { kind: 'beside' },
    shown: 'm',
    words: 'the model answer beside it, where there is one',
  },
  { keys: ['?'], isShift: null, command: { kind: 'help' }, shown: '?', words: 'this list' },
]

export interface Keystroke {
  readonly key: string
  readonly shiftKey: boolean
  readonly ctrlKey: boolean
  readonly altKey: boolean
  readonly metaKey: boolean
}

/** Null where the key is not ours; keys held together with Ctrl, Alt or Meta always belong to the browser. */
export function commandFor(stroke: Keystroke): TraceCommand | null {
  if (stroke.ctrlKey || stroke.altKey || stroke.metaKey) return null
  const row = rows.find((row) => row.keys.includes(stroke.key) && (row.isShift ?? stroke.shiftKey) === stroke.shiftKey)
  return row?.command ?? null
}

/** For the help: keys as they are printed on a keyboard, and what they do. */
export const keyHelp: readonly { readonly shown: string; readonly words: string }[] = rows.flatMap(
  ({ shown, words }) => (shown !== undefined && words !== undefined ? [{ shown, words }] : []),
)
