import { createBusProbe, type Bus, type Cpu, type Registers } from '../../../core/cpu/index.ts'
import { typescriptEngine } from '../../../core/cpu/create-cpu.ts'
import { wasmEngine } from '../../../core/cpu/wasm-engine.ts'
import { Machine } from '../../../core/cpu/machine.ts'

/** Everything made from the instruction table; all of it has to behave alike. */
export const engines: readonly (readonly [name: string, create: (bus: Bus) => Cpu])[] = [
  [
    'WebAssembly interpreter',
    (bus) =>
      new Machine(bus, (host) => {
        const engine = wasmEngine(host)
        if (!engine) throw new Error('no WebAssembly here')
        return engine
      }),
  ],
  ['TypeScript interpreter', (bus) => new Machine(bus, typescriptEngine)],
  ['table itself', (bus) => createBusProbe(bus, () => {})],
]

export interface Bench {
  readonly cpu: Cpu
  /** What the bus saw, as text: `out 12 34 @15`, `in 12 @15`, `int @7`, `write 4000 FF @5 by 0100`. */
  readonly log: string[]
  /** Bytes that IN reads, and that an interrupt finds on the bus, one after the other; then FF. */
  readonly supply: { ports: number[]; vectors: number[] }
}

const digits = (value: number, count = 2) => value.toString(16).toUpperCase().padStart(count, '0')

/** All bytes as one text, to be compared as a whole. */
export const hex = (bytes: Uint8Array): string => Buffer.from(bytes).toString('hex')

/** A machine with `code` (two hexadecimal digits a byte) at `origin`, PC on it, and the registers given. */
export function bench(
  create: (bus: Bus) => Cpu,
  code: string,
  registers: Partial<Registers> = {},
  origin = 0x100,
  onPort?: (cpu: Cpu) => void,
  onWatched?: (cpu: Cpu) => void,
): Bench {
  const log: string[] = []
  const supply: Bench['supply'] = { ports: [], vectors: [] }
  const cpu: Cpu = create({
    readPort(port, t) {
      log.push(`in ${digits(port, 4)} @${t} by ${digits(cpu.instructionAddress, 4)}`)
      onPort?.(cpu)
      return supply.ports.shift() ?? 0xff
    },
    writePort(port, value, t) {
      log.push(`out ${digits(port, 4)} ${digits(value)} @${t} by ${digits(cpu.instructionAddress, 4)}`)
      onPort?.(cpu)
    },
    acknowledge(t) {
      log.push(`int @${t} at ${digits(cpu.instructionAddress, 4)}`)
      return supply.vectors.shift() ?? 0xff
    },
    watchedWrite(address, value, t, pc) {
      onWatched?.(cpu)
      log.push(`write ${digits(address, 4)} ${digits(value)} @${t} by ${digits(pc, 4)}`)
    },
  })
  put(cpu, origin, code)
  cpu.setRegisters({ pc: origin, sp: 0x8000, ...registers })
  return { cpu, log, supply }
}

export function put(cpu: Cpu, at: number, code: string) {
  code
    .split(/\s+/)
    .filter(Boolean)
    .forEach((byte, offset) => (cpu.memory[(at + offset) & 0xffff] = parseInt(byte, 16)))
}

/** The word on top of the stack. */
export const top = (cpu: Cpu): number => {
  const { sp } = cpu.registers()
  return (cpu.memory[sp] ?? 0) | ((cpu.memory[(sp + 1) & 0xffff] ?? 0) << 8)
}
