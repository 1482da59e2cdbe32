import type { Bus, Cpu } from './cpu.ts'
import type { Engine, Host } from './engine.ts'
import { Evaluator, type BusState } from './evaluate.ts'
import { accept, run } from './generated/interpreter.ts'
import { layout } from './layout.ts'
import { Machine } from './machine.ts'
import { wasmEngine } from './wasm-engine.ts'

/** The interpreter in TypeScript: for where WebAssembly is missing, and to hold the other against. */
export function typescriptEngine(host: Host): Engine {
  const bytes = new Uint8Array(layout.end)
  const words = new Uint16Array(bytes.buffer)
  const longs = new Int32Array(bytes.buffer)
  return {
    bytes,
    run: () => run(bytes, words, longs, host),
    accept: (kind) => accept(bytes, words, longs, host, kind),
  }
}

/**
 * A Z80 in its state after power-on, memory all zero, wired to `bus`. It runs in WebAssembly where that can be had at once,
 * else in the TypeScript interpreter made from the same table; nothing but its speed tells them apart.
 */
export function createCpu(bus: Bus): Cpu {
  return new Machine(bus, (host) => wasmEngine(host) ?? typescriptEngine(host))
}

/**
 * The same CPU, some hundred times slower, which tells `listener` the state of its bus in every T-state. `restore` the state
 * and copy the memory of another one to see what that one did from there on.
 */
export function createBusProbe(bus: Bus, listener: (state: BusState) => void): Cpu {
  return new Machine(bus, (host) => new Evaluator(host, listener))
}
