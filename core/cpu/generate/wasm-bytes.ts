/** Just enough of the WebAssembly binary format (W3C WebAssembly Core 1.0) to write one module of 32-bit functions. */

const unsigned = (value: number): number[] => {
  const bytes: number[] = []
  let rest = value >>> 0
  do {
    const low = rest & 0x7f
    rest >>>= 7
    bytes.push(rest === 0 ? low : low | 0x80)
  } while (rest !== 0)
  return bytes
}

const signed = (value: bigint): number[] => {
  const bytes: number[] = []
  let rest = value
  for (;;) {
    const low = Number(rest & 0x7fn)
    rest >>= 7n
    if ((rest === 0n && (low & 0x40) === 0) || (rest === -1n && (low & 0x40) !== 0)) return [...bytes, low]
    bytes.push(low | 0x80)
  }
}

const types = { i32: 0x7f, i64: 0x7e } as const

/** Instructions without an immediate, and loads and stores with the alignment they are written with. */
const plain = {
  ...{ end: 0x0b, else: 0x05, return: 0x0f, drop: 0x1a, select: 0x1b, eqz: 0x45, eq: 0x46, ne: 0x47, lt: 0x48 },
  ...{ lt_u: 0x49, gt: 0x4a, le: 0x4c, ge: 0x4e, add: 0x6a, sub: 0x6b, mul: 0x6c, div_u: 0x6e, and: 0x71, or: 0x72 },
  ...{ xor: 0x73, shl: 0x74, shr: 0x75, shr_u: 0x76 },
  ...{
    add64: 0x7c,
    mul64: 0x7e,
    shl64: 0x86,
    shr64: 0x87,
    eq64: 0x51,
    ne64: 0x52,
    ge64: 0x59,
    wrap: 0xa7,
    extend: 0xac,
  },
} as const
const memory = {
  ...{ load: [0x28, 2], load64: [0x29, 3], load8s: [0x2c, 0], load8: [0x2d, 0], load16: [0x2f, 0] },
  ...{ store: [0x36, 2], store64: [0x37, 3], store8: [0x3a, 0], store16: [0x3b, 0] },
} as const satisfies Record<string, readonly [code: number, alignment: number]>

export type Plain = keyof typeof plain
export type Access = keyof typeof memory

/** The body of one function, written instruction by instruction. Labels are names; locals are numbers. */
export class Code {
  readonly #bytes: number[] = []
  readonly #labels: string[] = []
  readonly #parameters: number
  readonly #locals: (keyof typeof types)[] = []

  constructor(parameters: number) {
    this.#parameters = parameters
  }

  /** The next free local. */
  local(type: keyof typeof types = 'i32'): number {
    this.#locals.push(type)
    return this.#parameters + this.#locals.length - 1
  }

  op(...names: readonly Plain[]): this {
    for (const name of names) {
      this.#bytes.push(plain[name])
      if (name === 'end') this.#labels.pop()
    }
    return this
  }
  constant(value: number): this {
    this.#bytes.push(0x41, ...signed(BigInt(value | 0)))
    return this
  }
  constant64(value: bigint): this {
    this.#bytes.push(0x42, ...signed(value))
    return this
  }
  get(local: number): this {
    this.#bytes.push(0x20, ...unsigned(local))
    return this
  }
  set(local: number): this {
    this.#bytes.push(0x21, ...unsigned(local))
    return this
  }
  tee(local: number): this {
    this.#bytes.push(0x22, ...unsigned(local))
    return this
  }
  /** A load or store at the address on the stack plus `offset`. */
  access(name: Access, offset: number): this {
    this.#bytes.push(...memory[name], ...unsigned(offset))
    return this
  }
  call(index: number): this {
    this.#bytes.push(0x10, ...unsigned(index))
    return this
  }
  block(label: string): this {
    return this.#open(0x02, label)
  }
  loop(label: string): this {
    return this.#open(0x03, label)
  }
  if(label = ''): this {
    return this.#open(0x04, label)
  }
  branch(label: string): this {
    this.#bytes.push(0x0c, ...unsigned(this.#depth(label)))
    return this
  }
  branchIf(label: string): this {
    this.#bytes.push(0x0d, ...unsigned(this.#depth(label)))
    return this
  }
  /** Jumps to the label at the place on top of the stack, or to the last one. */
  table(labels: readonly string[], otherwise: string): this {
    const depths = [...labels, otherwise].map((label) => unsigned(this.#depth(label)))
    this.#bytes.push(0x0e, ...unsigned(labels.length), ...depths.flat())
    return this
  }

  #open(code: number, label: string): this {
    this.#bytes.push(code, 0x40)
    this.#labels.push(label)
    return this
  }
  #depth(label: string): number {
    const at = this.#labels.lastIndexOf(label)
    if (at < 0) throw new Error(`no label ${label}`)
    return this.#labels.length - 1 - at
  }

  body(): number[] {
    const bytes = [...unsigned(this.#locals.length), ...this.#locals.flatMap((type) => [1, types[type]])]
    for (const byte of this.#bytes) bytes.push(byte)
    bytes.push(plain.end)
    return [...unsigned(bytes.length), ...bytes]
  }
}

export interface Signature {
  readonly parameters: number
  readonly results: 0 | 1
}

export interface WasmFunction extends Signature {
  readonly exportName?: string
  readonly code: Code
}

/**
 * One module: functions imported from `host`, then its own; a memory of `pages` times 64 KB, exported as `memory`, or where
 * `sharesMemory` says so that of another module, imported from `host` under this name. All parameters and results are 32-bit
 * integers.
 */
export function wasmModule(
  imports: readonly (Signature & { readonly name: string })[],
  functions: readonly WasmFunction[],
  pages: number,
  sharesMemory = false,
): Uint8Array {
  const text = (value: string) => [value.length, ...[...value].map((character) => character.charCodeAt(0))]
  const vector = (items: readonly (readonly number[])[]) => [...unsigned(items.length), ...items.flat()]
  const section = (id: number, content: readonly number[]) => [id, ...unsigned(content.length), ...content]
  const all = [...imports, ...functions]
  const signatures = all.map(({ parameters, results }) => [
    ...[0x60, parameters, ...new Array<number>(parameters).fill(types.i32)],
    ...[results, ...new Array<number>(results).fill(types.i32)],
  ])
  const exported = functions.flatMap(({ exportName }, index) =>
    exportName === undefined ? [] : [[...text(exportName), 0x00, ...unsigned(imports.length + index)]],
  )
  const imported = imports.map(({ name }, index) => [...text('host'), ...text(name), 0x00, ...unsigned(index)])
  const limits = [0x01, ...unsigned(pages), ...unsigned(pages)]
  const parts = [
    [0x00, 0x61, 0x73, 0x6d, 0x01, 0x00, 0x00, 0x00],
    section(1, vector(signatures)),
    section(2, vector([...imported, ...(sharesMemory ? [[...text('host'), ...text('memory'), 0x02, ...limits]] : [])])),
    section(3, vector(functions.map((_, index) => unsigned(imports.length + index)))),
    ...(sharesMemory ? [] : [section(5, vector([limits]))]),
    section(7, vector([...exported, ...(sharesMemory ? [] : [[...text('memory'), 0x02, 0x00]])])),
    section(10, vector(functions.map(({ code }) => code.body()))),
  ]
  return Uint8Array.from(parts.flat())
}
