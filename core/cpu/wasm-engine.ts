import type { Acceptance, Engine, Host } from './engine.ts'
import * as careful from './generated/wasm-careful.ts'
import * as usual from './generated/wasm.ts'
import { layout, reason } from './layout.ts'
import { unpack } from './packed.ts'

interface Memory {
  readonly buffer: ArrayBuffer
}

/** What core needs of the WebAssembly JavaScript interface (W3C), which the language's own library does not declare. */
interface WasmApi {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Instance: new (
    module: object,
    imports: { readonly host: Host | (Host & { readonly memory: Memory }) },
  ) => { readonly exports: unknown }
}

/** What the two modules of generate/wasm.ts export. */
interface Usual {
  readonly memory: Memory
  readonly run: (isGoingOn: 0 | 1) => number
  readonly accept: (kind: number) => void
}
interface Careful {
  readonly run: () => number
  readonly one: () => void
}

const acceptances: readonly Acceptance[] = ['nmi', 'mode0', 'mode1', 'mode2']
interface Source {
  readonly packed: string
  readonly byteLength: number
}
/** Compiled once for all machines. */
const compiled = new Map<Source, object>()
let isRefused = false

function moduleOf(api: WasmApi, source: Source): object {
  const known = compiled.get(source)
  if (known) return known
  const module = new api.Module(unpack(source.packed, source.byteLength))
  compiled.set(source, module)
  return module
}

/** The interpreter in WebAssembly, or null where that cannot be had. */
export function wasmEngine(host: Host): Engine | null {
  const api = (globalThis as unknown as { readonly WebAssembly?: WasmApi }).WebAssembly
  if (!api || isRefused) return null
  let module: object
  try {
    module = moduleOf(api, usual)
  } catch {
    // A content security policy may forbid it; browsers refuse modules of this size outside workers.
    isRefused = true
    return null
  }
  const { memory, run, accept } = new api.Instance(module, { host }).exports as Usual
  const words = new Int32Array(memory.buffer)
  let rest: Careful | null = null
  const other = (): Careful => {
    rest ??= new api.Instance(moduleOf(api, careful), { host: { ...host, memory } }).exports as Careful
    return rest
  }
  return {
    bytes: new Uint8Array(memory.buffer),
    run() {
      if (words[layout.mode >> 2] !== 0) return other().run()
      let why = run(0)
      for (; why === reason.aside; why = run(1)) other().one()
      return why
    },
    accept: (kind) => accept(acceptances.indexOf(kind)),
  }
}
