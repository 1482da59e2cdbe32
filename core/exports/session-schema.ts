import { closed, type Schema } from '../board/index.ts'
import { sessionFormat } from './session.ts'

const whole = (maximum: number, minimum = 0): Schema => ({ type: 'integer', minimum, maximum })
const byte = whole(0xff)
const word = whole(0xffff)
const moment = whole(Number.MAX_SAFE_INTEGER)
const boolean: Schema = { type: 'boolean' }
const text = (maxLength: number): Schema => ({ type: 'string', maxLength })
const record = (properties: Readonly<Record<string, Schema>>, optional: readonly string[] = []): Schema => ({
  type: 'object',
  properties,
  required: Object.keys(properties).filter((name) => !optional.includes(name)),
})
const list = (items: Schema, maxItems: number): Schema => ({ type: 'array', items, maxItems })
const orNull = (schema: Schema): Schema => ({ anyOf: [schema, { type: 'null' }] })

const words = ['af', 'bc', 'de', 'hl', 'af_', 'bc_', 'de_', 'hl_', 'ix', 'iy', 'sp', 'pc', 'wz']
const registers: Schema = {
  type: 'object',
  properties: {
    ...Object.fromEntries(words.map((name) => [name, word])),
    ...{ i: byte, r: byte, q: byte, im: whole(2), iff1: boolean, iff2: boolean, isHalted: boolean },
  },
}
const fill: Schema = {
  anyOf: [record({ byte }), record({ seed: whole(0xffff_ffff, -0x8000_0000), isInverted: boolean }, ['isInverted'])],
}
/** Pairs of hexadecimal digits, blanks between them or not. */
const hex: Schema = {
  type: 'string',
  maxLength: 0x30000,
  pattern: '^([0-9A-Fa-f]{2}( |$))*$',
  description: 'pairs of hexadecimal digits, parted by blanks: 3E 05',
}
const bytesAt = record({ at: word, hex })

const input: Schema = {
  anyOf: [
    record({ t: moment, kind: { enum: ['key'] }, key: text(40), isDown: boolean }),
    record({ t: moment, kind: { enum: ['switches'] }, value: byte }),
    record({ t: moment, kind: { enum: ['timer'] }, isOn: boolean }),
    record({ t: moment, kind: { enum: ['registers'] }, set: registers }),
    record({ t: moment, kind: { enum: ['bytes'] }, at: word, hex }),
    record({ t: moment, kind: { enum: ['reset'] } }),
    record({ t: moment, kind: { enum: ['power-on'] }, fill }),
  ],
}

/** The inputs of each kind, for a message that speaks of the kind that was meant. */
export const inputKinds: ReadonlyMap<string, Schema> = new Map(
  (input.anyOf ?? []).map((schema) => [`${schema.properties?.['kind']?.enum?.[0] ?? ''}`, schema]),
)

const fileOf = (inputs: Schema): Schema =>
  record({
    format: { enum: [sessionFormat] },
    title: text(200),
    board: { type: 'string', minLength: 1, maxLength: 80 },
    program: record(
      {
        format: { enum: ['assembly', 'hex', 'intel-hex'] },
        text: text(2_000_000),
        origin: word,
        symbols: { type: 'object', additionalProperties: word },
      },
      ['origin', 'symbols'],
    ),
    start: orNull(
      record(
        {
          entry: orNull(word),
          ends: { enum: ['halt', 'return'] },
          registers,
          memory: list(bytesAt, 1000),
          keys: list(
            record({ key: text(40), from: moment, to: moment, bounceTStates: whole(1_000_000_000), isIdle: boolean }, [
              'bounceTStates',
              'isIdle',
            ]),
            10_000,
          ),
          switches: byte,
          switchMoves: list(record({ at: moment, value: byte, isIdle: boolean }, ['isIdle']), 10_000),
          fill,
          isTimerOn: boolean,
          timerPhase: whole(1_000_000_000),
          mayExecute: list(record({ from: word, to: word }), 1000),
          budget: whole(10_000_000_000, 1),
        },
        ['switchMoves', 'timerPhase', 'mayExecute'],
      ),
    ),
    exercise: orNull(
      record(
        { id: text(200), caseId: text(200), seed: whole(0xffff_ffff, -0x8000_0000), start: whole(1_000_000_000) },
        ['start'],
      ),
    ),
    tape: orNull(record({ fill, inputs: list(inputs, 1_000_000), until: moment })),
    notes: list(record({ from: moment, to: moment, by: text(200), text: text(20_000) }), 10_000),
    position: record({ step: moment, from: moment, to: moment }),
  })

/** The file of a session as the reader takes it: inputs are looked at one by one (`inputKinds`). */
export const sessionSchema: Schema = fileOf({ type: 'object', additionalProperties: {} })

/** The published schema of a session's file (JSON Schema 2020-12). */
export const sessionJsonSchema: Schema = closed({
  $schema: 'https://json-schema.org/draft/2020-12/schema',
  title: 'Session',
  description:
    'A program and all that is needed to see what its writer saw. Numbers are decimal, bytes hexadecimal text.',
  ...fileOf(input),
})
