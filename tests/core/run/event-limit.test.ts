import { expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { benchEight, withinWork, workDone } from '../../../core/board/index.ts'
import { record, run, type RunRequest } from '../../../core/run/index.ts'

const given = { registers: {}, memory: [], keys: [], switches: 0, fill: { byte: 0 }, isTimerOn: false } as const

function request(text: string, more: Partial<RunRequest> = {}): RunRequest {
  const { image, entry } = assemble(text, { origin: 0x4000, symbols: benchEight.firmware.symbols })
  return { profile: benchEight, image, entry, ends: 'halt', given, budget: 20_000_000, ...more }
}

test('a loop that writes to a port without a pause is stopped, and it is told what came how often', () => {
  const small = run(request('LOOP: OUT (5),A\n INC A\n JR LOOP', { eventLimit: 1000 }))
  // OUT (n),A 11 T, INC A 4 T, JR 12 T (Zilog UM0080); the byte is on the bus 2 T before the OUT ends.
  expect(small.tStates).toBe(999 * 27 + 11)
  expect(small.end).toEqual({
    kind: 'budget-used-up',
    loop: { from: 0x4000, to: 0x4003 },
    events: { kind: 'port-write', where: 5, count: 1000, tStates: 999 * 27 + 9 },
  })
})

test('a million events are allowed unless the exercise says otherwise', () => {
  const { end, tStates } = run(request('LOOP: IN A,(5)\n JR LOOP', { budget: 40_000_000, isLoopRunOut: true }))
  expect(end).toMatchObject({ events: { kind: 'port-read', where: 5, count: 1_000_000 } })
  expect(tStates).toBe(999_999 * 23 + 11)
})

test('a tone that is stopped so is no proven loop, whatever could be proven of it', () => {
  const { end } = run(request('LOOP: XOR 1\n OUT (22H),A\n JR LOOP', { eventLimit: 10_000 }))
  expect(end).toMatchObject({ kind: 'budget-used-up', events: { kind: 'port-write', where: 0x22, count: 2000 } })
})

test('writes to memory that a check looks at count together', () => {
  const text = ' LD HL,4600H\nLOOP: LD (HL),A\n INC L\n JR LOOP'
  const { end } = run(request(text, { eventLimit: 1000, isWatchingWrites: true }))
  expect(end).toMatchObject({ events: { kind: 'memory-write', where: 0x4600, count: 1000 } })
})

test('what switches many segments at once counts for more', () => {
  const all = ' LD A,0FFH\n OUT (21H),A\nLOOP: CPL\n OUT (20H),A\n JR LOOP'
  const { end, events } = run(request(all, { eventLimit: 17_000 }))
  expect(end).toMatchObject({ events: { where: 0x20 } })
  // Sixty-four segments that change are three and sixteen events more.
  expect(events.length).toBe(852)
})

test('a recorded run is stopped at the same instruction, and opens up to there', () => {
  const flood = request('LOOP: OUT (20H),A\n INC A\n OUT (21H),A\n JR LOOP', { eventLimit: 60_000 })
  const whole = run(flood)
  const { result } = record(flood)
  expect(result).toMatchObject({ end: whole.end, tStates: whole.tStates, steps: whole.steps })
  expect(record(flood).at(result.steps - 1).registers.pc).toBe(whole.lastPc)
})

test('a program that ends with the last event allowed is stopped by it no less', () => {
  const text = ' LD B,10\nLOOP: OUT (5),A\n DJNZ LOOP\n HALT'
  expect(run(request(text, { eventLimit: 11 })).end.kind).toBe('halted')
  expect(run(request(text, { eventLimit: 10 })).end.kind).toBe('budget-used-up')
})

test('work is counted the same each time, and ends a task that would take more', () => {
  const long = request('LOOP: INC HL\n OUT (5),A\n JR LOOP', { eventLimit: 50_000 })
  const work = (): number => {
    const before = workDone()
    run(long)
    return workDone() - before
  }
  expect(work()).toBe(work())
  expect(withinWork(work() + 1, () => run(long).steps)?.value).toBe(run(long).steps)
  expect(withinWork(work() - 1, () => run(long).steps)).toBeNull()
  // One inside another takes no more than the other has left.
  expect(withinWork(1000, () => withinWork(1e9, () => run(long).steps))).toBeNull()
})
