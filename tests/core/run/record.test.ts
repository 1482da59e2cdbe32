import { describe, expect, test } from 'vitest'
import { digestOfRun, Machine, Random, record, run, type Snapshot } from '../../../core/run/index.ts'
import { prepare } from '../../../core/run/execute.ts'
import { allSteps, busy, request, seed } from './programs.ts'

console.log(`random steps drawn with SEED=${seed}`)

/**
 * The state after a fresh run of `t` T-states: the budget ends it behind the instruction that reaches it. What stands on
 * the ports is told by the events.
 */
function freshRunTo(t: number) {
  const { registers, memory, tStates, steps, events } = run({ ...busy, budget: t, isLoopRunOut: true })
  const outputs: Record<string, number> = { segments: 0, select: 0, speaker: 0, lamps: 0 }
  const names = new Map([
    [0x20, 'segments'],
    [0x21, 'select'],
    [0x24, 'lamps'],
  ])
  for (const event of events) {
    const name = event.kind === 'port-write' ? names.get(event.port) : undefined
    if (event.kind === 'port-write' && name !== undefined) outputs[name] = event.value
    if (event.kind === 'speaker-edge') outputs['speaker'] = event.level
  }
  return { step: steps, t: tStates, registers, memory, outputs }
}

const written = ({ outputs: { segments, select, speaker, lamps }, ...rest }: Snapshot) => ({
  ...rest,
  outputs: { segments, select, speaker, lamps },
})

/** Executes the run again from its start, with no checkpoint in between. */
const fresh = new Machine(busy.profile)
function outputsAfter(steps: number): Snapshot['outputs'] {
  prepare(fresh, busy)
  fresh.board.log = null
  fresh.advanceSteps(steps)
  fresh.board.catchUp(fresh.tStates)
  const { segments, select, speaker, lamps, switches, isTimerOn, isInterruptWaiting } = fresh.board.save()
  return {
    ...{ segments, select, speaker, lamps, isTimerOn, isInterruptWaiting },
    ...{ switches: switches.value, keysDown: fresh.keysDown() },
  }
}

const recording = record(busy)
describe('a recorded run', () => {
  test('is the run', () => {
    const plain = run(busy)
    expect(digestOfRun({ ...recording.result, lowestSp: null })).toBe(digestOfRun(plain))
    expect(recording.result.steps).toBeGreaterThan(10_000)
    expect(recording.result.lowestSp).toBeLessThan(0x47fe)
  })

  test('state at step k equals a fresh run to k, for 1,000 random k: registers, memory, what stands on the ports', () => {
    const random = new Random(seed)
    const keysSeen = new Set<string>()
    for (let n = 0; n < 1000; n++) {
      const k = random.under(recording.result.steps + 1)
      const there = recording.at(k)
      expect(there.step).toBe(k)
      if (k > 0) {
        const { memory, ...rest } = freshRunTo(there.t)
        const { memory: memoryThere, ...restThere } = written(there)
        expect(restThere).toEqual(rest)
        // Comparing 64 KB byte by byte as an array would take half a second.
        expect(Buffer.compare(memoryThere, memory)).toBe(0)
      }
      expect(there.outputs).toEqual(outputsAfter(k))
      for (const key of there.outputs.keysDown) keysSeen.add(key)
    }
    expect([...keysSeen].sort()).toEqual(['1', '2'])
  })

  test('its first and last state are the start and the end', () => {
    expect(recording.at(0)).toMatchObject({ step: 0, t: 0, registers: { pc: 0x4000, sp: 0x4800 } })
    const { result } = recording
    expect(recording.at(result.steps)).toEqual({
      ...{ step: result.steps, t: result.tStates, registers: result.registers, memory: result.memory },
      outputs: outputsAfter(result.steps),
    })
    expect(recording.at(result.steps + 1000)).toEqual(recording.at(result.steps))
    expect(recording.at(-5)).toEqual(recording.at(0))
  })

  test('visiting leaves nothing behind: the same step is the same again, whatever was visited between', () => {
    const before = recording.at(9_876)
    recording.find(11_000, 'back', { kind: 'memory-write', address: 0x4600 })
    recording.steps(100, 200)
    recording.stepAt(899_999)
    expect(recording.at(9_876)).toEqual(before)
    expect(recording.events.length).toBe(run(busy).events.length)
  })

  test('two checkpoints share the pages that did not change', () => {
    // perf notes §6: at most 350 KB for 8 million T-states.
    const quiet = record(request('LOOP: CALL PAINT | JR LOOP', { budget: 8_000_000, isLoopRunOut: true }))
    expect(quiet.result.tStates).toBeGreaterThanOrEqual(8_000_000)
    expect(quiet.checkpointBytes).toBeLessThan(350_000)
  })
})

describe('its steps', () => {
  const steps = allSteps(recording)

  test('follow on each other: each begins as and when the one before it ended', () => {
    expect(steps).toHaveLength(recording.result.steps)
    steps.forEach((step, k) => {
      expect(step.step).toBe(k)
      const before = steps[k - 1]
      if (before === undefined) return
      expect(step.t).toBe(before.t + before.tStates)
      expect(step.before).toEqual(before.after)
    })
    expect(steps.at(-1)?.after).toEqual(recording.result.registers)
  })

  test('their writes, played on the memory at the start, give the memory at the end', () => {
    const memory = recording.at(0).memory
    for (const { memoryWrites } of steps)
      for (const { address, before, value } of memoryWrites) {
        expect(memory[address]).toBe(before)
        memory[address] = value
      }
    expect(memory).toEqual(recording.result.memory)
  })

  test('interrupts and waiting in HALT are steps of their own', () => {
    const kinds = new Map<string, number>()
    for (const { kind } of steps) kinds.set(kind, (kinds.get(kind) ?? 0) + 1)
    expect(kinds.get('interrupt')).toBe(recording.events.filter(({ kind }) => kind === 'interrupt').length)
    expect(kinds.get('halted')).toBeGreaterThan(1000)
    expect(steps.find(({ kind }) => kind === 'interrupt')).toMatchObject({ bytes: [], tStates: 13 })
    expect(steps.find(({ kind }) => kind === 'halted')).toMatchObject({ bytes: [0x76], tStates: 4, memoryWrites: [] })
  })

  test('an instruction has its bytes, each round of a block instruction is a step', () => {
    expect(steps[0]).toMatchObject({ pc: 0x4000, bytes: [0x21, 0x3e, 0x40], tStates: 10 })
    const ldir = steps.findIndex(({ bytes }) => bytes[0] === 0xed && bytes[1] === 0xb0)
    expect(steps.slice(ldir, ldir + 40).map(({ tStates }) => tStates)).toEqual([...Array(39).fill(21), 16])
  })

  test('every event lies in the step that stepAt names', () => {
    for (const event of recording.events) {
      const step = steps[recording.stepAt(event.t)]
      expect(step !== undefined && step.t <= event.t && event.t < step.t + step.tStates).toBe(true)
      if ('pc' in event && event.kind !== 'interrupt') expect(step?.pc).toBe(event.pc)
    }
  })

  test('stepAt is exact to the T-state at both ends of a step, and clamped to the run', () => {
    for (const k of [0, 1, 777, 9_000, recording.result.steps - 1]) {
      const { t, tStates } = steps[k] ?? { t: -1, tStates: -1 }
      expect([recording.stepAt(t), recording.stepAt(t + tStates - 1)]).toEqual([k, k])
    }
    expect(recording.stepAt(-1)).toBe(0)
    expect(recording.stepAt(1e9)).toBe(recording.result.steps)
  })

  test('walking tells each step once, with where it begins', () => {
    const walked: [number, number, number, number][] = []
    recording.walk(3_990, 9_010, (...step) => walked.push(step))
    expect(walked).toEqual(steps.slice(3_990, 9_010).map(({ step, t, pc, before }) => [step, t, pc, before.sp]))
  })

  test('more than 10,000 at once are not given', () => {
    expect(recording.steps(5, 12_000)).toHaveLength(10_000)
    expect(recording.steps(50, 40)).toEqual([])
  })
})

describe('finding a step', () => {
  const steps = allSteps(recording)
  const end = recording.result.steps

  /** What a search must give, found by looking at every step. */
  function expected(from: number, direction: 'back' | 'on', holds: (k: number) => boolean): number | null {
    if (direction === 'on') {
      for (let k = from + 1; k <= end; k++) if (holds(k)) return k
    } else for (let k = from - 1; k >= 0; k--) if (holds(k)) return k
    return null
  }

  const places = (count: number) => {
    const random = new Random(seed + 1)
    return [0, 1, end - 1, end, ...Array.from({ length: count }, () => random.under(end + 1))]
  }

  test.each([0x4002, 0x4011, 0x0040, 0x4039, 0x4300])('at address %i', (address) => {
    const pcAt = (k: number) => (k === end ? recording.result.registers.pc : (steps[k]?.before.pc ?? -1))
    for (const from of places(12))
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'pc', address })).toBe(
          expected(from, direction, (k) => pcAt(k) === address),
        )
  })

  test.each([0x4600, 0x4610, 0x4637, 0x47fe, 0x4101])('a write to %i', (address) => {
    for (const from of places(12))
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'memory-write', address })).toBe(
          expected(from, direction, (k) => steps[k]?.memoryWrites.some((write) => write.address === address) ?? false),
        )
  })

  test.each(['hl', 'sp', 'iff1'] as const)('a change of %s', (register) => {
    for (const from of places(2))
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'register-change', register })).toBe(
          expected(
            from,
            direction,
            (k) => steps[k] !== undefined && steps[k]?.before[register] !== steps[k]?.after[register],
          ),
        )
  })

  test('a register that never changes is not found', () => {
    expect(recording.find(3000, 'back', { kind: 'register-change', register: 'ix' })).toBeNull()
    expect(recording.find(end - 3000, 'on', { kind: 'register-change', register: 'ix' })).toBeNull()
  })

  test.each([0x22, 0x21, null, 0x77])('a write to port %s', (port) => {
    const writers = new Set(
      recording.events
        .filter((event) => event.kind === 'port-write' && (port === null || event.port === port))
        .map(({ t }) => recording.stepAt(t)),
    )
    for (const from of places(12))
      for (const direction of ['back', 'on'] as const)
        expect(recording.find(from, direction, { kind: 'port-write', port })).toBe(
          expected(from, direction, (k) => writers.has(k)),
        )
  })

  test('over a call and back over it', () => {
    const nested = record(
      request('CALL OUTER | NOP | HALT | OUTER: CALL INNER | NOP | RST 8 | INNER: NOP | RET', { breakpoints: [8] }),
    )
    // 0 CALL OUTER, 1 CALL INNER, 2 NOP, 3 RET, 4 NOP, 5 RST 8, 6: at 0008.
    expect(nested.find(1, 'on', { kind: 'same-depth' })).toBe(4)
    expect(nested.find(4, 'back', { kind: 'same-depth' })).toBe(1)
    expect(nested.find(2, 'on', { kind: 'same-depth' })).toBe(3)
    expect(nested.find(3, 'back', { kind: 'same-depth' })).toBe(2)
    expect(nested.find(0, 'on', { kind: 'same-depth' })).toBeNull()
    expect(nested.find(0, 'back', { kind: 'same-depth' })).toBeNull()
    expect(nested.find(6, 'on', { kind: 'same-depth' })).toBeNull()
  })

  test('over a recursive call the level counts, not the address', () => {
    const deep = record(request('LD B,3 | CALL DOWN | HALT | DOWN: DEC B | RET Z | CALL DOWN | NOP | RET'))
    const call = 1
    const after = deep.find(call, 'on', { kind: 'same-depth' })
    expect(deep.at(after ?? 0).registers).toMatchObject({ pc: 0x4005, sp: 0x4800 })
    expect(deep.find(after ?? 0, 'back', { kind: 'same-depth' })).toBe(call)
  })
})

describe('the end of a recorded run', () => {
  test.each([
    ['LD A,1 | HALT', 'halted'],
    ['NOP', 'left-program'],
    ['JR $', 'proven-loop'],
    ['LD SP,4001H | PUSH AF', 'stack-fault'],
  ])('%s', (text, kind) => {
    const asked = request(text)
    const kept = record(asked)
    expect(kept.result.end.kind).toBe(kind)
    expect({ ...kept.result, lowestSp: null, events: null }).toEqual({ ...run(asked), events: null })
    expect(kept.at(kept.result.steps).registers).toEqual(kept.result.registers)
  })
})
