import type { Bus, Cpu } from './cpu.ts'
import type { Engine, Host } from './engine.ts'
import { accept, run } from './generated/interpreter.ts'
import { layout } from './layout.ts'
import { Machine } from './machine.ts'

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

/** A Z80 in its state after power-on, memory all zero, wired to `bus`. */
export function createCpu(bus: Bus): Cpu {
  return new Machine(bus, typescriptEngine)
}
