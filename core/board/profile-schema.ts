import { keyingGuideSchema } from './keying-guide.ts'
import { closed, type Schema } from './schema.ts'

const byte = { type: 'integer', minimum: 0, maximum: 0xff } as const
const address = { type: 'integer', minimum: 0, maximum: 0xffff } as const
const bit = { type: 'integer', minimum: 0, maximum: 7 } as const
const bits = { type: 'array', items: bit, minItems: 1, maxItems: 8 } as const
const name = { type: 'string', minLength: 1, maxLength: 80 } as const
const hex = { type: 'string', pattern: '^([0-9A-Fa-f]{2})*$', maxLength: 0x20000 } as const
const row = { type: 'object', properties: { port: byte, bits }, required: ['port', 'bits'] } as const

/** The published schema of a board profile (JSON Schema 2020-12). Whole numbers are written in decimal, as JSON has it. */
export const boardProfileSchema: Schema = closed({
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Board profile',
  description: 'Everything that makes one Z80 trainer board different from another.',
  type: 'object',
  required: [
    ...['id', 'title', 'clockHz', 'memory', 'layout', 'display', 'speaker', 'keypad'],
    ...['timer', 'lamps', 'switches', 'firmware'],
  ],
  properties: {
    id: {
      type: 'string',
      pattern: '^[a-z0-9]+(-[a-z0-9]+)*$',
      maxLength: 40,
      description: 'Small letters, figures and hyphens; never changed once exercises name it.',
    },
    title: name,
    clockHz: { type: 'number', minimum: 1000, maximum: 100_000_000, description: 'T-states in a second.' },
    memory: {
      type: 'array',
      minItems: 1,
      maxItems: 64,
      description: 'In ascending order. Places that no region holds read as 255 and ignore writes.',
      items: {
        type: 'object',
        required: ['kind', 'from', 'to'],
        properties: { kind: { enum: ['rom', 'ram'] }, from: address, to: { ...address, description: 'Included.' } },
      },
    },
    layout: {
      type: 'object',
      required: ['program', 'programEnd', 'data', 'digitBuffer', 'stackTop', 'interruptHook'],
      properties: {
        program: address,
        programEnd: { ...address, description: 'Last address that the bytes of a program may have, itself included.' },
        data: address,
        digitBuffer: address,
        stackTop: { ...address, description: 'SP when a program starts; the first byte pushed goes below it.' },
        interruptHook: { anyOf: [address, { type: 'null' }] },
      },
    },
    display: {
      type: 'object',
      required: [
        ...['digits', 'segmentPort', 'selectPort', 'segmentBits', 'isSegmentActiveHigh'],
        ...['digitBits', 'isDigitActiveHigh'],
      ],
      properties: {
        digits: { type: 'integer', minimum: 1, maximum: 8 },
        group: {
          type: 'integer',
          minimum: 1,
          maximum: 8,
          description: 'Digits that stand together, a gap behind them.',
        },
        segmentPort: byte,
        selectPort: byte,
        segmentBits: {
          ...bits,
          minItems: 7,
          description: 'Bit of each segment a to g and, if there is one, the point.',
        },
        isSegmentActiveHigh: { type: 'boolean' },
        digitBits: { ...bits, description: 'Bit of each digit from left to right.' },
        isDigitActiveHigh: { type: 'boolean' },
      },
    },
    speaker: { type: 'object', required: ['port', 'bit'], properties: { port: byte, bit } },
    keypad: {
      type: 'object',
      required: ['rowPort', 'isKeyActiveHigh', 'keys'],
      properties: {
        rowPort: byte,
        isKeyActiveHigh: { type: 'boolean' },
        keys: {
          type: 'array',
          maxItems: 8,
          description: 'A list of columns; a column lists its keys by row, "" where there is none.',
          items: { type: 'array', maxItems: 8, items: { type: 'string', maxLength: 12 } },
        },
      },
    },
    timer: {
      anyOf: [
        {
          type: 'object',
          required: ['hz', 'startsOn', 'interruptMode'],
          properties: {
            hz: { type: 'number', minimum: 0.01, maximum: 100_000 },
            startsOn: { type: 'boolean' },
            interruptMode: { enum: [0, 1, 2] },
          },
        },
        { type: 'null' },
      ],
    },
    lamps: { anyOf: [row, { type: 'null' }] },
    switches: { anyOf: [row, { type: 'null' }] },
    firmware: {
      type: 'object',
      required: ['hex', 'symbols', 'labels', 'routines', 'returnTo', 'ready'],
      properties: {
        hex: { ...hex, description: 'Two hexadecimal digits a byte, from the start of the first ROM.' },
        symbols: {
          type: 'object',
          additionalProperties: address,
          description: 'Names that a program may use without defining them.',
        },
        labels: {
          type: 'object',
          additionalProperties: address,
          description: 'Every place in the firmware that has a name, for listings and traces.',
        },
        routines: {
          type: 'array',
          maxItems: 200,
          items: {
            type: 'object',
            required: ['name', 'address', 'summary', 'needs', 'gives', 'changes'],
            properties: {
              name,
              address,
              summary: { type: 'string', maxLength: 400 },
              needs: { type: 'string', maxLength: 400 },
              gives: { type: 'string', maxLength: 400 },
              changes: { type: 'array', maxItems: 30, items: name },
            },
          },
        },
        returnTo: { anyOf: [address, { type: 'null' }] },
        ready: {
          type: 'array',
          maxItems: 100,
          items: { type: 'object', required: ['at', 'hex'], properties: { at: address, hex } },
        },
        keying: keyingGuideSchema,
      },
    },
  },
})
