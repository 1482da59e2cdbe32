import { readFileSync } from 'node:fs'
import { gunzipSync } from 'node:zlib'
import type { Cpu, CpuState, Registers } from '../../core/cpu/index.ts'

type Numbers = Record<
  | (
      | 'a'
      | 'b'
      | 'c'
      | 'd'
      | 'e'
      | 'f'
      | 'h'
      | 'l'
      | 'i'
      | 'r'
      | 'ix'
      | 'iy'
      | 'sp'
      | 'pc'
      | 'wz'
      | 'im'
      | 'iff1'
      | 'iff2'
    )
  | ('af_' | 'bc_' | 'de_' | 'hl_' | 'ei' | 'p' | 'q'),
  number
>
type State = Numbers & { readonly ram: readonly (readonly [address: number, byte: number])[] }

/** One instruction of SingleStepTests/z80, as the README beside the files explains it. */
export interface StepCase {
  readonly name: string
  readonly initial: State
  readonly final: State
  /** For each T-state: address bus, data bus or null, pins `rwmi`. */
  readonly cycles: readonly (readonly [address: number, data: number | null, pins: string])[]
  readonly ports?: readonly (readonly [port: number, byte: number, direction: 'r' | 'w'])[]
}

export const pages = ['base', 'cb', 'ed', 'dd', 'fd', 'ddcb', 'fdcb'] as const

export function stepCases(page: (typeof pages)[number]): readonly StepCase[] {
  const file = new URL(`../fixtures/reference/z80-steps/${page}.jsonl.gz`, import.meta.url)
  return gunzipSync(readFileSync(file))
    .toString()
    .split('\n')
    .filter(Boolean)
    .map((line) => JSON.parse(line) as StepCase)
}

const registersOf = (state: State): Omit<Registers, 'isHalted'> => ({
  af: state.a * 256 + state.f,
  bc: state.b * 256 + state.c,
  de: state.d * 256 + state.e,
  hl: state.h * 256 + state.l,
  ...{ af_: state.af_, bc_: state.bc_, de_: state.de_, hl_: state.hl_, ix: state.ix, iy: state.iy },
  ...{ sp: state.sp, pc: state.pc, i: state.i, r: state.r, wz: state.wz, q: state.q },
  im: state.im as 0 | 1 | 2,
  iff1: state.iff1 === 1,
  iff2: state.iff2 === 1,
})

/** What stands where a case says nothing: no byte of it like its neighbours, so that a stray write of any byte shows. */
const background = Uint8Array.from(
  { length: 0x10000 },
  (_, address) => (address * 167 + (address >> 8) * 59 + 91) & 0xff,
)

/** Puts the background into all of memory. */
export function fillBackground(cpu: Cpu): void {
  cpu.memory.set(background)
}

/** Up to ten addresses at which memory is not what it was before the cases: something wrote where no case says so. */
export function strayWrites(cpu: Cpu): string[] {
  if (Buffer.compare(cpu.memory.subarray(0, 0x10000), background) === 0) return []
  const found = [...background.keys()].filter((address) => cpu.memory[address] !== background[address])
  return found.slice(0, 10).map((address) => `${address.toString(16).toUpperCase().padStart(4, '0')}h`)
}

/** As many cases are looked at together: comparing all 64 KiB costs more than a step. */
export const casesTogether = 64

/** Puts a case's beginning into a machine that has the background elsewhere. */
export function load(cpu: Cpu, { initial }: StepCase) {
  cpu.restore({
    registers: { ...registersOf(initial), isHalted: false },
    tStates: 1000,
    steps: 0,
    isAfterEi: initial.ei === 1,
    isAfterPrefix: false,
    isAfterInterruptFlag: initial.p === 1,
    isInterruptLineActive: false,
    isNmiPending: false,
  })
  for (const [address, byte] of initial.ram) cpu.memory[address] = byte
}

export function clear(cpu: Cpu, { initial, final }: StepCase) {
  for (const [address] of [...initial.ram, ...final.ram]) cpu.memory[address] = background[address] ?? 0
}

type Comparable = Omit<CpuState['registers'], 'isHalted'> & {
  readonly ei: boolean
  readonly p: boolean
  readonly memory: readonly (readonly [number, number])[]
}

export const wanted = ({ final }: StepCase): Comparable => ({
  ...registersOf(final),
  ei: final.ei === 1,
  p: final.p === 1,
  memory: final.ram,
})

export function found(cpu: Cpu, { final }: StepCase): Comparable {
  const { registers, isAfterEi, isAfterInterruptFlag } = cpu.save()
  const { isHalted: _, ...rest } = registers
  return {
    ...rest,
    ei: isAfterEi,
    p: isAfterInterruptFlag,
    memory: final.ram.map(([address]) => [address, cpu.memory[address] ?? -1]),
  }
}
