import { either, flag, list, number, text, whole, type Json, type Schema } from './schema/index.ts'

const item: Schema<Json> = either(whole(0, 0xffff), (value) => typeof value === 'number', text(0, 400))

const plain: Schema<Json> = either(
  flag,
  (value) => typeof value === 'boolean',
  either(
    list(item, 0, 4096),
    Array.isArray,
    either(number(-1e12, 1e12), (value) => typeof value === 'number', text(0, 20_000)),
  ),
)

/** A value that a check may take by name. */
export const plainValue: Schema<Json> = {
  allowed: 'a number, text, or a list of numbers or texts',
  parts: [],
  json: () => ({ type: ['number', 'string', 'array', 'boolean'] }),
  read: (value, path, report) => plain.read(value, path, report),
}
