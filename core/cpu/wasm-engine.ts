import type { Acceptance, Engine, Host } from './engine.ts'
import { base64, byteLength } from './generated/wasm.ts'

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

function decodeBase64(text: string, length: number): Uint8Array {
  const bytes = new Uint8Array(length + 2)
  const values = new Uint8Array(128)
  const digits = 'ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/'
  for (let value = 0; value < 64; value++) values[digits.charCodeAt(value)] = value
  for (let from = 0, to = 0; from < text.length; from += 4, to += 3) {
    const word =
      ((values[text.charCodeAt(from)] ?? 0) << 18) |
      ((values[text.charCodeAt(from + 1)] ?? 0) << 12) |
      ((values[text.charCodeAt(from + 2)] ?? 0) << 6) |
      (values[text.charCodeAt(from + 3)] ?? 0)
    bytes[to] = word >> 16
    bytes[to + 1] = word >> 8
    bytes[to + 2] = word
  }
  return bytes.subarray(0, length)
}

const acceptances: readonly Acceptance[] = ['nmi', 'mode0', 'mode1', 'mode2']
let compiled: object | null | undefined

/** Compiled once for all machines; null where there is no WebAssembly, or where it may not be used. */
function module(api: WasmApi): object | null {
  if (compiled === undefined) {
    try {
      compiled = new api.Module(decodeBase64(base64, byteLength))
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
