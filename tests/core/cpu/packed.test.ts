import fc from 'fast-check'
import { expect, test } from 'vitest'
import { pack } from '../../../core/cpu/generate/pack.ts'
import { wasmCareful, wasmUsual } from '../../../core/cpu/generate/wasm.ts'
import * as usual from '../../../core/cpu/generated/wasm.ts'
import * as careful from '../../../core/cpu/generated/wasm-careful.ts'
import { unpack } from '../../../core/cpu/packed.ts'

test.each([
  ['nothing', []],
  ['one byte', [255]],
  ['bytes without a copy', [1, 2, 3, 4, 5, 6, 7]],
  ['six bytes again', [1, 2, 3, 4, 5, 6, 1, 2, 3, 4, 5, 6]],
  ['five bytes again, too few', [1, 2, 3, 4, 5, 0, 1, 2, 3, 4, 5, 9]],
  ['the same byte 127, 128 and 300 times', [...Array(127).fill(7), 8, ...Array(128).fill(7), 9, ...Array(300).fill(7)]],
  ['20,000 bytes that differ', Array.from({ length: 20_000 }, (_, at) => (at * at) >> 5)],
])('packed bytes come back: %s', (_name, values) => {
  const bytes = Uint8Array.from(values)
  expect(unpack(pack(bytes), bytes.length)).toEqual(bytes)
})

test('any bytes come back, long repeats among them', () => {
  const part = fc.uint8Array({ maxLength: 40 })
  const parts = fc.array(fc.tuple(part, fc.integer({ min: 1, max: 20 })), { maxLength: 12 })
  fc.assert(
    fc.property(parts, (some) => {
      const bytes = Uint8Array.from(
        some.flatMap(([each, times]) =>
          Array<number[]>(times)
            .fill([...each])
            .flat(),
        ),
      )
      expect(unpack(pack(bytes), bytes.length)).toEqual(bytes)
    }),
  )
})

test('the interpreter that was packed is the one that the table makes', () => {
  expect(Buffer.compare(unpack(usual.packed, usual.byteLength), wasmUsual())).toBe(0)
  expect(Buffer.compare(unpack(careful.packed, careful.byteLength), wasmCareful())).toBe(0)
})
