import { describe, expect, test } from 'vitest'
import { memoryReads, type Registers } from '../../../core/cpu/index.ts'
import { Random, record, type RegisterName, type TraceStep } from '../../../core/run/index.ts'
import { registerValue } from '../../../core/run/register-value.ts'
import { allSteps, busy, request, seed } from './programs.ts'

console.log(`random places drawn with SEED=${seed}`)

const recording = record(busy)
const { questions } = recording
const steps = allSteps(recording)
const end = recording.result.steps
const endState = recording.result.registers
/** The state in which step k begins; k = `end` is the state at the end. */
const before = (k: number): Registers => steps[k]?.before ?? endState

const places = (count: number, of: Random) => [
  0,
  1,
  end - 1,
  end,
  ...Array.from({ length: count }, () => of.under(end + 1)),
]

function grouped(list: readonly TraceStep[], key: (step: TraceStep) => number): Map<number, TraceStep[]> {
  const groups = new Map<number, TraceStep[]>()
  for (const step of list) {
    const group = groups.get(key(step))
    if (group === undefined) groups.set(key(step), [step])
    else group.push(step)
  }
  return groups
}

/** What a search must give, found by looking at every step. */
function nearest(from: number, direction: 'back' | 'on', holds: (k: number) => boolean): number | null {
  if (direction === 'on') {
    for (let k = from + 1; k <= end; k++) if (holds(k)) return k
  } else for (let k = from - 1; k >= 0; k--) if (holds(k)) return k
  return null
}

/** Every byte that a step takes from memory as data, worked out from its own bytes and registers. */
function readsOf({ kind, bytes, before: registers, after }: TraceStep): number[] {
  if (kind !== 'instruction') return []
  return memoryReads((offset) => bytes[offset] ?? 0)
    .filter(({ isConditional }) => !isConditional || after.sp !== registers.sp)
    .map(({ register, offset }) => ((register === null ? 0 : registers[register]) + offset) & 0xffff)
}

describe('who wrote a byte', () => {
  const addresses = [0x4600, 0x4610, 0x4637, 0x47fe, 0x47fd, 0x4707, 0x4101, 0x0040]
  const writesTo = (address: number) =>
    steps.flatMap((step) =>
      step.memoryWrites.filter((write) => write.address === address).map((write) => ({ step, write })),
    )

  test.each(addresses)('the last one before a step, for %i', (address) => {
    const all = writesTo(address)
    for (const from of places(20, new Random(seed))) {
      const last = all.findLast(({ step }) => step.step < from)
      const wanted =
        last === undefined ? null : { step: last.step.step, t: last.step.t, pc: last.step.pc, ...last.write }
      expect(questions.lastWriter(address, from)).toEqual(wanted)
    }
  })

  test.each(addresses)('all of them, for %i', (address) => {
    const all = writesTo(address)
    const writers = questions.writers(address)
    expect(writers.reduce((sum, { count }) => sum + count, 0)).toBe(all.length)
    expect(writers.map(({ pc }) => pc)).toEqual([...new Set(all.map(({ step }) => step.pc))])
    for (const { pc, count, first, last } of writers) {
      const own = all.filter(({ step }) => step.pc === pc)
      expect(count).toBe(own.length)
      expect([first.step, first.value, last.step, last.value]).toEqual([
        own[0]?.step.step,
        own[0]?.write.value,
        own.at(-1)?.step.step,
        own.at(-1)?.write.value,
      ])
    }
  })

  test('a byte that nobody wrote has stood there since the start', () => {
    expect(questions.lastWriter(0x4003, end)).toBeNull()
    expect(questions.writers(0x4003)).toEqual([])
  })
})

describe('when a register had a value', () => {
  const names: readonly RegisterName[] = ['a', 'f', 'b', 'hl', 'sp', 'ixl', 'iff1', 'isHalted', 'pc', 'r', 'wz', 'c_']
  test.each(names)('%s', (register) => {
    const random = new Random(seed + 3)
    for (const from of places(10, random)) {
      const value = registerValue(before(random.under(end)), register)
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'register-is', register, value })).toBe(
          nearest(from, direction, (k) => registerValue(before(k), register) === value),
        )
      expect(questions.lastTimeRegisterWas(register, value, from)).toBe(
        nearest(from, 'back', (k) => registerValue(before(k), register) === value),
      )
    }
  })

  test('a value that it never had', () => {
    expect(questions.lastTimeRegisterWas('iy', 0x1234, end)).toBeNull()
    expect(questions.lastTimeRegisterWas('a', 0x100, end)).toBeNull()
  })
})

describe('how often and when an instruction ran', () => {
  test('counts, first, last, T-states and waits of every address there is', () => {
    for (let address = 0; address < 0x10000; address += address === 0x1000 ? 0x3000 : address === 0x4800 ? 0xb000 : 1) {
      const own = runsOf.get(address) ?? []
      const waits = waitsOf.get(address) ?? []
      const tStates = [...own, ...waits].reduce((sum, step) => sum + step.tStates, 0)
      const [first, last] = [own[0]?.step ?? null, own.at(-1)?.step ?? null]
      const wanted = { address, count: own.length, waits: waits.length, first, last, tStates }
      const found = questions.visits(address)
      if (JSON.stringify(found) !== JSON.stringify(wanted)) expect(found).toEqual(wanted)
    }
    expect(runsOf.size).toBeGreaterThan(50)
  })

  const runsOf = grouped(
    steps.filter(({ kind }) => kind === 'instruction'),
    ({ pc }) => pc,
  )
  // While a HALT waits PC stands behind it.
  const waitsOf = grouped(
    steps.filter(({ kind }) => kind === 'halted'),
    ({ pc }) => pc - 1,
  )

  test.each([0x4000, 0x4011, 0x0040, 0x4020, 0x4021, 0x4022, 0x4300])('the steps of %i', (address) => {
    const own = (runsOf.get(address) ?? []).map(({ step }) => step)
    expect(questions.visitSteps(address, 0, 100_000)).toEqual(own)
    for (const from of places(5, new Random(seed + 4)))
      expect(questions.visitSteps(address, from, 3)).toEqual(own.filter((step) => step >= from).slice(0, 3))
  })

  test('the sum of all visits, waits and interrupts is the number of steps, and so with T-states', () => {
    const { byAddress, interrupts, steps: all, tStates } = questions.usage()
    expect(byAddress.reduce((sum, used) => sum + used.steps, interrupts.steps)).toBe(end)
    expect(byAddress.reduce((sum, used) => sum + used.tStates, interrupts.tStates)).toBe(recording.result.tStates)
    expect([all, tStates]).toEqual([end, recording.result.tStates])
    expect(interrupts.steps).toBe(recording.events.filter(({ kind }) => kind === 'interrupt').length)
    expect(interrupts.tStates).toBe(13 * interrupts.steps)
  })
})

describe('who used how many T-states', () => {
  test('in a span, as in its steps', () => {
    const random = new Random(seed + 5)
    for (let n = 0; n < 12; n++) {
      const [from = 0, to = 0] = [random.under(end + 1), random.under(end + 1)].sort((x, y) => x - y)
      const usage = questions.usage({ from, to })
      const inside = steps.slice(from, to)
      const sum = (list: readonly TraceStep[]) => list.reduce((t, step) => t + step.tStates, 0)
      expect(usage.tStates).toBe(sum(inside))
      const byPc = grouped(
        inside.filter(({ kind }) => kind !== 'interrupt'),
        ({ kind, pc }) => (kind === 'halted' ? pc - 1 : pc),
      )
      expect(usage.byAddress.map(({ address, steps: n, tStates }) => [address, n, tStates])).toEqual(
        [...byPc].sort(([x], [y]) => x - y).map(([pc, list]) => [pc, list.length, sum(list)]),
      )
    }
  })

  test('by ranges: the parts are those of their addresses, the later range counts where two overlap', () => {
    const usage = questions.usage()
    const ranges = [
      { name: 'ROM', from: 0, to: 0x0fff },
      { name: 'program', from: 0x4000, to: 0x40ff },
      { name: 'SHOW', from: 0x4026, to: 0x4031 },
    ]
    const inside = (from: number, to: number) =>
      usage.byAddress.filter(({ address }) => from <= address && address <= to).reduce((t, used) => t + used.tStates, 0)
    const [rom, program, show] = usage.inRanges(ranges)
    expect(rom).toMatchObject({ name: 'ROM', tStates: inside(0, 0xfff) })
    expect(show).toMatchObject({ name: 'SHOW', tStates: inside(0x4026, 0x4031) })
    expect(program?.tStates).toBe(inside(0x4000, 0x40ff) - inside(0x4026, 0x4031))
    expect(rom?.share).toBeCloseTo((rom?.tStates ?? 0) / recording.result.tStates, 12)
  })

  test('a delay loop by hand: LD B,n / DJNZ $ takes 13n + 2 T-states', () => {
    const delay = record(request('LD B,200 | DJNZ $ | HALT'))
    const { byAddress } = delay.questions.usage()
    expect(byAddress).toEqual([
      { address: 0x4000, steps: 1, tStates: 7 },
      { address: 0x4002, steps: 200, tStates: 13 * 199 + 8 },
      { address: 0x4004, steps: 1, tStates: 4 },
    ])
    expect(delay.questions.visits(0x4002)).toEqual({
      ...{ address: 0x4002, count: 200, waits: 0, first: 1, last: 200, tStates: 2595 },
    })
  })

  test('an empty span has nothing', () => {
    expect(questions.usage({ from: 500, to: 500 })).toMatchObject({ steps: 0, tStates: 0, byAddress: [] })
    expect(questions.usage({ from: end + 5, to: end + 9 })).toMatchObject({ steps: 0, tStates: 0 })
  })
})

describe('the display', () => {
  test('the longest time between two sweeps, and what ran meanwhile', () => {
    // PAINT, then a wait of 40 ms in which nothing is shown, once.
    const gaps = record(
      request('CALL PAINT | CALL PAINT | LD BC,40 | CALL WAITMS | CALL PAINT | CALL PAINT | HALT', {
        given: { memory: [{ at: 0x4700, bytes: [1, 2, 4, 8, 16, 32, 64, 127] }] },
      }),
    )
    const gap = gaps.questions.longestSweepGap()
    // From the end of a digit's light to its next: the sweep less its own 2,500 T, and the wait.
    expect(gap?.tStates).toBeGreaterThan(17_400 + 100_000)
    expect(gap?.tStates).toBeLessThan(17_800 + 100_100)
    const [most] = gap?.ranMeanwhile ?? []
    const waiting = gaps.questions.usage().inRanges([{ name: 'WAITMS', from: 0x0050, to: 0x0fff }])
    expect(most?.tStates).toBeGreaterThan(20_000)
    expect(waiting[0]?.tStates).toBeGreaterThan(100_000)
    // In a window that ends before the wait begins only the ordinary gap is left.
    const ordinary = gaps.questions.longestSweepGap({ to: 20_000, digit: 0 })
    expect(ordinary?.digit).toBe(0)
    expect(ordinary?.tStates).toBeLessThan(18_000)
    expect(gaps.stepAt(gap?.from ?? 0)).toBe(gap?.steps.from)
  })

  test('no gap where nothing was lit twice', () => {
    expect(record(request('CALL PAINT | HALT')).questions.longestSweepGap()).toBeNull()
  })

  test('which instruction was running at a T-state', () => {
    const random = new Random(seed + 6)
    for (let n = 0; n < 40; n++) {
      const t = random.under(recording.result.tStates)
      expect(questions.instructionAt(t)).toEqual(steps.findLast((step) => step.t <= t))
    }
    expect(questions.instructionAt(1e9)).toEqual(steps.at(-1))
  })
})

describe('the stack', () => {
  test('its highest mark is the lowest SP of any step', () => {
    const lowest = Math.min(endState.sp, ...steps.map((step) => step.before.sp))
    const mark = questions.highestStackMark()
    const first = steps.findIndex((step) => step.before.sp === lowest)
    expect(mark).toEqual({ sp: lowest, depth: 0x4800 - lowest, step: first, t: steps[first]?.t, by: first - 1 })
    expect(steps[first - 1]?.after.sp).toBe(lowest)
  })

  test('a program that pushes nothing stays at its start', () => {
    expect(record(request('NOP | HALT')).questions.highestStackMark()).toEqual({
      ...{ sp: 0x4800, depth: 0, step: 0, t: 0, by: null },
    })
  })

  test('a mark that the last step makes', () => {
    const pushed = record(request('LD SP,4700H | PUSH AF | HALT | NOP', { breakpoints: [0x4004] }))
    expect(pushed.questions.highestStackMark()).toMatchObject({ sp: 0x46fe, depth: 0x102, step: 2, by: 1 })
  })

  test.each(['back', 'on'] as const)('the last time or the next that SP was here, %s', (direction) => {
    for (const from of places(25, new Random(seed + 7))) {
      const { sp } = before(from)
      const away = nearest(from, direction, (k) => before(k).sp !== sp)
      const wanted = away === null ? null : nearest(away, direction, (k) => before(k).sp === sp)
      expect(recording.find(from, direction, { kind: 'same-sp' })).toBe(wanted)
    }
  })

  test('after a call the last time is the CALL itself', () => {
    const called = record(request('CALL SUBR | NOP | HALT | SUBR: PUSH AF | POP AF | RET'))
    // 0 CALL, 1 PUSH, 2 POP, 3 RET, 4 NOP, 5 HALT
    expect(called.find(4, 'back', { kind: 'same-sp' })).toBe(0)
    expect(called.find(5, 'back', { kind: 'same-sp' })).toBe(0)
    expect(called.find(3, 'back', { kind: 'same-sp' })).toBe(1)
    expect(called.find(0, 'on', { kind: 'same-sp' })).toBe(4)
    expect(called.find(0, 'back', { kind: 'same-sp' })).toBeNull()
  })
})

describe('reading before writing', () => {
  test('every byte, as found step by step', () => {
    const wanted = new Map<number, number>()
    const touched = new Set<number>()
    for (const step of steps) {
      for (const address of readsOf(step)) {
        if (!touched.has(address)) wanted.set(address, step.step)
        touched.add(address)
      }
      for (const { address } of step.memoryWrites) touched.add(address)
    }
    expect(wanted.size).toBeGreaterThan(30)
    for (let address = 0; address < 0x10000; address += 1) {
      const found = questions.readBeforeWritten(address)
      if ((found?.step ?? null) !== (wanted.get(address) ?? null))
        expect([address, found?.step ?? null]).toEqual([address, wanted.get(address) ?? null])
    }
    const inRam = [...wanted.keys()].filter((address) => address >= 0x4000)
    expect(questions.allReadBeforeWritten().map(({ address }) => address)).toEqual(inRam)
  })

  test('what was given on purpose is told from what power left in RAM', () => {
    const some = record(
      request('LD A,(4600H) | LD A,(4601H) | LD (4602H),A | LD A,(4602H) | LD HL,(400FH) | HALT | DATA: NOP', {
        given: { memory: [{ at: 0x4600, bytes: [7] }], fill: { byte: 0xaa } },
      }),
    )
    expect(some.questions.readBeforeWritten(0x4600)).toEqual({
      ...{ step: 0, t: 0, pc: 0x4000, address: 0x4600, value: 7, isGiven: true },
    })
    expect(some.questions.readBeforeWritten(0x4601)).toMatchObject({ step: 1, value: 0xaa, isGiven: false })
    expect(some.questions.readBeforeWritten(0x4602)).toBeNull()
    expect(some.questions.allReadBeforeWritten().map(({ address, isGiven }) => [address, isGiven])).toEqual([
      [0x4600, true],
      [0x4601, false],
      [0x400f, true],
      [0x4010, true],
    ])
  })

  test('an instruction that the program changes before it comes there is read as it then is', () => {
    // The operand of LD A,(4700H) at 400CH becomes 4601H; once in a loop, so that the plan of the first round is stale.
    const changing = record(request('LD HL,4601H | LD B,2 | LOOP: LD A,(4700H) | LD (4006H),HL | DJNZ LOOP | HALT'))
    expect(changing.questions.readBeforeWritten(0x4700)?.step).toBe(2)
    expect(changing.questions.readBeforeWritten(0x4601)?.step).toBe(5)
  })

  test('prefixes in a row: the last one counts', () => {
    const rows = record(request('LD IX,4610H | LD IY,4620H | DB 0DDH,0FDH,0DDH,7EH,5 | DB 0FDH,0DDH,0FDH,7EH,6 | HALT'))
    expect(rows.questions.readBeforeWritten(0x4615)?.step).toBe(2)
    expect(rows.questions.readBeforeWritten(0x4626)?.step).toBe(3)
  })

  test('the vector of an interrupt in mode 2 is read', () => {
    const vectored = record(
      request('LD A,46H | LD I,A | IM 2 | LD HL,DONE | LD (46FFH),HL | EI | JR $ | DONE: HALT', {
        given: { isTimerOn: true },
      }),
    )
    expect(vectored.find(0, 'on', { kind: 'memory-read', address: 0x46ff })).not.toBeNull()
    const step = vectored.find(0, 'on', { kind: 'memory-read', address: 0x4700 }) ?? 0
    expect(vectored.steps(step, step + 1)[0]?.kind).toBe('interrupt')
  })

  test.each([0x4600, 0x4610, 0x47fe, 0x4101, 0x0300])('the nearest read of %i', (address) => {
    const isReader = steps.map((step) => readsOf(step).includes(address))
    for (const from of places(12, new Random(seed + 8)))
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'memory-read', address })).toBe(
          nearest(from, direction, (k) => isReader[k] ?? false),
        )
  })
})

describe('a value over time', () => {
  test.each(['a', 'hl', 'sp', 'iff1'] as const)('%s: every change at the end of its step', (register) => {
    const { times, values, until } = questions.history({ kind: 'register', register })
    const wanted: [number, number][] = [[0, registerValue(before(0), register)]]
    for (const { t, before: registers } of steps) {
      const value = registerValue(registers, register)
      if (value !== wanted.at(-1)?.[1]) wanted.push([t, value])
    }
    expect([...times].map((t, k) => [t, values[k]])).toEqual(wanted)
    expect(until).toBe(recording.result.tStates)
  })

  test.each([0x4600, 0x47fe, 0x4003, 0x0040])('byte %i: every change within its step', (address) => {
    const { times, values } = questions.history({ kind: 'memory', address })
    const changes = steps.flatMap((step) =>
      step.memoryWrites
        .filter((write) => write.address === address && write.value !== write.before)
        .map((write) => ({ step, value: write.value })),
    )
    expect([...values]).toEqual([recording.at(0).memory[address], ...changes.map(({ value }) => value)])
    changes.forEach(({ step }, k) => {
      const t = times[k + 1] ?? -1
      expect(step.t <= t && t < step.t + step.tStates).toBe(true)
    })
  })

  test('a window has the same values at the same times', () => {
    for (const what of [
      { kind: 'register', register: 'b' },
      { kind: 'memory', address: 0x4600 },
    ] as const) {
      const whole = questions.history(what)
      const random = new Random(seed + 9)
      for (let n = 0; n < 10; n++) {
        const from = random.under(800_000)
        const to = from + random.under(100_000)
        const part = questions.history(what, { from, to })
        const k = whole.times.findLastIndex((t) => t <= from)
        const inside = [...whole.times.keys()].filter((i) => i > k && (whole.times[i] ?? 0) < to)
        expect([...part.times]).toEqual([from, ...inside.map((i) => whole.times[i])])
        expect([...part.values]).toEqual([whole.values[k], ...inside.map((i) => whole.values[i])])
      }
    }
  })
})

describe('searching for several things at once', () => {
  test('a breakpoint among several addresses', () => {
    const addresses = [0x4011, 0x0040, 0x4036]
    for (const from of places(15, new Random(seed + 10)))
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'breakpoint', addresses })).toBe(
          nearest(from, direction, (k) => addresses.includes(before(k).pc)),
        )
    expect(recording.find(end, 'back', { kind: 'breakpoint', addresses: [] })).toBeNull()
  })

  test('whichever comes first on the way', () => {
    const of = [
      { kind: 'pc', address: 0x4036 },
      { kind: 'memory-write', address: 0x4610 },
      { kind: 'register-is', register: 'b', value: 3 },
    ] as const
    for (const from of places(10, new Random(seed + 11)))
      for (const direction of ['back', 'on'] as const) {
        const each = of.flatMap((what) => recording.find(from, direction, what) ?? [])
        const wanted = each.length === 0 ? null : direction === 'on' ? Math.min(...each) : Math.max(...each)
        expect(recording.find(from, direction, { kind: 'any', of })).toBe(wanted)
      }
    expect(recording.find(end, 'back', { kind: 'any', of: [] })).toBeNull()
  })

  test('the halves of a pair change when their half does', () => {
    for (const register of ['h', 'l', 'a', 'f'] as const)
      for (const from of places(2, new Random(seed + 12)))
        expect(recording.find(from, 'back', { kind: 'register-change', register })).toBe(
          nearest(from, 'back', (k) => {
            const step = steps[k]
            return step !== undefined && registerValue(step.before, register) !== registerValue(step.after, register)
          }),
        )
  })
})
