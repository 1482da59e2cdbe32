import type { Addr, Byte } from '../cpu/index.ts'

/** How bytes are keyed in on a board, for someone who has never seen it. */
export interface KeyingGuide {
  /** What to do, in this order. */
  readonly steps: readonly string[]
  /** A byte of RAM in which the monitor keeps what its keys do at the moment. */
  readonly stateAt: Addr
  /** What they do while the byte holds `value`. */
  readonly states: readonly KeyingState[]
}

export interface KeyingState {
  readonly value: Byte
  readonly title: string
  readonly keys: readonly { readonly keys: string; readonly does: string }[]
}

const text = { type: 'string', minLength: 1, maxLength: 400 } as const

export const keyingGuideSchema = {
  type: 'object',
  description: 'How bytes are keyed in, for someone who has never seen the board.',
  required: ['steps', 'stateAt', 'states'],
  properties: {
    steps: { type: 'array', maxItems: 20, items: text, description: 'What to do, in this order.' },
    stateAt: {
      type: 'integer',
      minimum: 0,
      maximum: 0xffff,
      description: 'A byte of RAM in which the monitor keeps what its keys do at the moment.',
    },
    states: {
      type: 'array',
      maxItems: 40,
      items: {
        type: 'object',
        required: ['value', 'title', 'keys'],
        properties: {
          value: { type: 'integer', minimum: 0, maximum: 0xff },
          title: text,
          keys: {
            type: 'array',
            maxItems: 40,
            items: { type: 'object', required: ['keys', 'does'], properties: { keys: text, does: text } },
          },
        },
      },
    },
  },
} as const
