import { either, flag, list, number, text, whole, type Json, type Schema } from './schema/index.ts'

const plain: Schema<Json> = either(
  flag,
  (value) => typeof value === 'boolean',
  either(
    list(whole(0, 0xffff), 0, 4096),
    Array.isArray,
    either(number(-1e12, 1e12), (value) => typeof value === 'number', text(0, 20_000)),
  ),
)

/** A value that a check may take by name. */
export const plainValue: Schema<Json> = {
  allowed: 'a number, text or a list of numbers',
  parts: [],
  json: () => ({ type: ['number', 'string', 'array', 'boolean'] }),
  read: (value, path, report) => plain.read(value, path, report),
}
