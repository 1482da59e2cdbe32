import type { Acceptance, Engine, Host } from './engine.ts'
import { byteLength, packed } from './generated/wasm.ts'
import { unpack } from './packed.ts'

/** What core needs of the WebAssembly JavaScript interface (W3C), which the language's own library does not declare. */
interface WasmApi {
  readonly Module: new (bytes: Uint8Array) => object
  readonly Instance: new (
    module: object,
    imports: { readonly host: Host },
  ) => {
    readonly exports: {
      readonly memory: { readonly buffer: ArrayBuffer }
      readonly run: () => number
      readonly accept: (kind: number) => void
    }
  }
}

const acceptances: readonly Acceptance[] = ['nmi', 'mode0', 'mode1', 'mode2']
let compiled: object | null | undefined

/** Compiled once for all machines; null where there is no WebAssembly, or where it may not be used. */
function module(api: WasmApi): object | null {
  if (compiled === undefined) {
    try {
      compiled = new api.Module(unpack(packed, byteLength))
    } catch {
      // A content security policy may forbid it; browsers refuse modules of this size outside workers.
      compiled = null
    }
  }
  return compiled
}

/** The interpreter in WebAssembly, or null where that cannot be had. */
export function wasmEngine(host: Host): Engine | null {
  const api = (globalThis as unknown as { readonly WebAssembly?: WasmApi }).WebAssembly
  const it = api && module(api)
  if (!api || !it) return null
  const { memory, run, accept } = new api.Instance(it, { host }).exports
  return {
    bytes: new Uint8Array(memory.buffer),
    run,
    accept: (kind) => accept(acceptances.indexOf(kind)),
  }
}
