import { Z80 } from 'z80-emulator'
import { createCpu, type Cpu } from '../../core/cpu/index.ts'
import { typescriptEngine } from '../../core/cpu/create-cpu.ts'
import { Machine } from '../../core/cpu/machine.ts'
import { entry, fnv, fnvStart, hashOf } from './workloads.ts'

/** What one run of a workload gave: equal for all cores but for the times. */
export interface Outcome {
  readonly tStates: number
  readonly memory: number
  /** Every OUT: port, value, T-states since the one before. */
  readonly outs: number
  readonly ms: number
  /** For making the machine, which is not part of `ms`. */
  readonly msToMake: number
}

/** Port writes are noted as they come, and folded as z80ex.c does when the time is no longer taken. */
function outLog() {
  // More than any workload has in one run.
  const most = 0x10000
  const ports = new Uint8Array(most)
  const values = new Uint8Array(most)
  const times = new Float64Array(most)
  let count = 0
  return {
    write(port: number, value: number, t: number) {
      ports[count] = port
      values[count] = value
      times[count] = t
      count += 1
    },
    hash(): number {
      let hash = fnvStart
      let last = 0
      for (let at = 0; at < count; at++) {
        const t = times[at] ?? NaN
        const between = last === 0 ? 0 : t - last
        for (const byte of [ports[at] ?? 0, values[at] ?? 0, between, between >> 8, between >> 16])
          hash = fnv(hash, byte)
        last = t
      }
      return hash >>> 0
    },
  }
}

type Core = (image: Uint8Array) => Outcome

function npmCore(image: Uint8Array): Outcome {
  const outs = outLog()
  const beginning = performance.now()
  const memory = image.slice()
  const hal = {
    tStateCount: 0,
    readMemory: (address: number) => memory[address] ?? 0,
    writeMemory(address: number, value: number) {
      memory[address] = value
    },
    contendMemory() {},
    readPort: () => 0xff,
    writePort(port: number, value: number) {
      outs.write(port & 0xff, value, hal.tStateCount)
    },
    contendPort() {},
  }
  const z80 = new Z80(hal)
  z80.reset()
  z80.regs.pc = entry
  const start = performance.now()
  while (z80.regs.halted === 0) z80.step()
  const ms = performance.now() - start
  return { tStates: hal.tStateCount, memory: hashOf(memory), outs: outs.hash(), ms, msToMake: start - beginning }
}

function ownCore(kind: 'plain' | 'shortcuts' | 'traced' | 'typescript'): Core {
  return (image) => {
    const outs = outLog()
    const beginning = performance.now()
    const bus = {
      readPort: () => 0xff,
      writePort(port: number, value: number, t: number) {
        outs.write(port & 0xff, value, t)
      },
      acknowledge: () => 0xff,
      watchedWrite() {},
    }
    const cpu: Cpu = kind === 'typescript' ? new Machine(bus, typescriptEngine) : createCpu(bus)
    if (cpu instanceof Machine) cpu.setShortcuts(kind === 'shortcuts')
    cpu.memory.set(image)
    cpu.setRegisters({ pc: entry })
    if (kind === 'traced') cpu.setTracing(true)
    const start = performance.now()
    cpu.run(Infinity, true)
    const ms = performance.now() - start
    return { tStates: cpu.tStates, memory: hashOf(cpu.memory), outs: outs.hash(), ms, msToMake: start - beginning }
  }
}

export const cores = {
  'z80-emulator 2.3.0': npmCore,
  Hexcairn: ownCore('plain'),
  'Hexcairn, closed forms': ownCore('shortcuts'),
  'Hexcairn, full trace': ownCore('traced'),
  'Hexcairn without WebAssembly': ownCore('typescript'),
} as const satisfies Record<string, Core>
export type CoreName = keyof typeof cores
