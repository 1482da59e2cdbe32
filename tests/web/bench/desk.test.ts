import { beforeEach, describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import {
  type Session,
  type SessionProgram,
  readSession,
  sessionRequest,
  writeSession,
} from '../../../core/exports/index.ts'
import { BenchDesk } from '../../../web/bench/worker/desk.ts'
import { type Stop, Tape, memoryAtStart, registersAtStart } from '../../../core/run/index.ts'
import type { BenchFrame, BenchReply, BenchRequest } from '../../../web/bench/worker/protocol.ts'

/** A desk with a clock that only moves when told to. */
class Table {
  readonly replies: BenchReply[] = []
  #now = 0
  #due: (() => void)[] = []
  readonly #desk = new BenchDesk({
    post: (reply) => this.replies.push(reply),
    now: () => this.#now,
    later: (_milliseconds, callback) => this.#due.push(callback),
  })

  constructor() {
    this.ask({ kind: 'power-on', board: benchEight })
  }

  ask(request: BenchRequest): void {
    this.#desk.handle(request)
  }

  /** Lets real time pass, a sixtieth of a second at a time. */
  wait(milliseconds: number): void {
    for (const end = this.#now + milliseconds; this.#now < end;) {
      this.#now += 16
      const due = this.#due
      this.#due = []
      for (const callback of due) callback()
    }
  }

  tap(key: string): void {
    this.ask({ kind: 'key', key, isDown: true })
    this.ask({ kind: 'key', key, isDown: false })
    this.wait(120)
  }

  get frame(): BenchFrame {
    const last = this.replies.findLast((reply) => reply.kind === 'frame')
    if (last?.kind !== 'frame') throw new Error('no frame yet')
    return last.frame
  }

  get shown(): string {
    return this.frame.digits.map((digit) => digit.glyph).join('')
  }
}

let table: Table
beforeEach(() => {
  table = new Table()
})

describe('the machine of the bench', () => {
  test('stands at 0000h when it is switched on and moves only when told to run', () => {
    table.wait(100)
    expect([table.frame.t, table.frame.registers.pc, table.frame.isRunning]).toEqual([0, 0, false])
  })

  test('runs as many T-states as the clock says: 2.5 million a second', () => {
    table.ask({ kind: 'run' })
    table.wait(960)
    expect(table.frame.t).toBeGreaterThan(2_390_000)
    expect(table.frame.t).toBeLessThan(2_410_000)
  })

  test('at a hundredth of the speed a second is a hundredth of a second', () => {
    table.ask({ kind: 'speed', factor: 0.01 })
    table.ask({ kind: 'run' })
    table.wait(960)
    expect(table.frame.t).toBeGreaterThan(23_900)
    expect(table.frame.t).toBeLessThan(24_100)
  })

  test('the firmware answers the keys: an address is keyed in and shown, steady', () => {
    table.ask({ kind: 'run' })
    table.wait(200)
    for (const key of ['AT', '4', '6', '0']) table.tap(key)
    expect(table.shown).toBe('AT  4600')
    expect(table.frame.digits.slice(4).every((digit) => digit.state === 'steady')).toBe(true)
  })

  test('a byte keyed in on the board stands in memory, and reset keeps it', () => {
    table.ask({ kind: 'run' })
    table.ask({ kind: 'look', from: 0x4600 })
    table.wait(200)
    for (const key of ['AT', '4', '6', '0', '0', '3', '7']) table.tap(key)
    expect(table.frame.memory[0]).toBe(0x37)
    table.ask({ kind: 'reset' })
    expect([table.frame.registers.pc, table.frame.memory[0]]).toEqual([0, 0x37])
    table.ask({ kind: 'power-on', board: benchEight })
    table.ask({ kind: 'look', from: 0x4600 })
    expect(table.frame.memory[0]).toBe(0)
  })

  test('a loaded program waits at its entry and runs to its HALT', () => {
    table.ask({ kind: 'load', format: 'hex', text: '3E 05 06 03 80 10 FD 76' })
    expect(table.replies.at(-2)).toMatchObject({ kind: 'loaded', entry: 0x4000, bytes: 8 })
    expect(table.frame.registers.pc).toBe(0x4000)
    table.ask({ kind: 'run' })
    table.wait(32)
    // 5 + 3 + 2 + 1 = 0Bh (arithmetic).
    expect([table.frame.registers.af >> 8, table.frame.registers.isHalted]).toEqual([0x0b, true])
  })

  test('a program that returns comes back to the firmware', () => {
    table.ask({ kind: 'load', format: 'hex', text: 'C9' })
    table.ask({ kind: 'run' })
    table.wait(200)
    expect(table.frame.registers.isHalted).toBe(false)
    expect(table.shown.trim()).not.toBe('')
  })

  test('what cannot be read is told with its place, and the machine stays as it is', () => {
    table.ask({ kind: 'load', format: 'hex', text: '3E 0' })
    expect(table.replies.at(-2)).toMatchObject({ kind: 'unreadable', problems: [{ at: { line: 1 } }] })
    expect(table.frame.registers.pc).toBe(0)
  })

  test('a single step executes one instruction and tells the registers before it', () => {
    table.ask({ kind: 'load', format: 'hex', text: '3E 05 06 03 80 10 FD 76' })
    table.ask({ kind: 'step' })
    const { registers, before, stopped } = table.frame
    expect([registers.pc, registers.af >> 8, before?.pc, stopped]).toEqual([0x4002, 5, 0x4000, 'step'])
    expect(table.frame.around.some((line) => line.address === 0x4002)).toBe(true)
  })

  test('stops before an instruction at a breakpoint and can go on from it', () => {
    table.ask({ kind: 'load', format: 'hex', text: '3E 05 06 03 80 10 FD 76' })
    table.ask({ kind: 'stops', stops: [{ kind: 'address', address: 0x4004 }] })
    table.ask({ kind: 'run' })
    table.wait(32)
    expect([table.frame.registers.pc, table.frame.stopped, table.frame.isRunning]).toEqual([
      0x4004,
      { kind: 'address', address: 0x4004 },
      false,
    ])
    table.ask({ kind: 'run' })
    table.wait(32)
    expect([table.frame.registers.pc, table.frame.registers.af >> 8]).toEqual([0x4004, 8])
  })

  test('registers and bytes can be changed while it stands', () => {
    table.ask({ kind: 'registers', some: { hl: 0x1234 } })
    table.ask({ kind: 'look', from: 0x4600 })
    table.ask({ kind: 'byte', address: 0x4601, value: 0xab })
    expect([table.frame.registers.hl, table.frame.memory[1]]).toEqual([0x1234, 0xab])
  })

  test('tells each move of the speaker once, and the pitch', () => {
    // Half period 13n + 32 T with n = 94: 996.8 Hz at 2.5 MHz (arithmetic from the T-states of UM0080).
    table.ask({ kind: 'load', format: 'assembly', text: 'LOOP: LD B,94\n DJNZ $\n XOR 1\n OUT (22H),A\n JR LOOP' })
    const before = table.replies.length
    table.ask({ kind: 'run' })
    table.wait(480)
    const frames = table.replies.slice(before).flatMap((reply) => (reply.kind === 'frame' ? [reply.frame] : []))
    const edges = frames.flatMap((frame) => [...frame.speaker.edges])
    expect(edges.every((t, i) => i === 0 || t - (edges[i - 1] ?? 0) === 1254)).toBe(true)
    expect(edges.length).toBeGreaterThan(900)
    expect(table.frame.speaker.frequencyHz).toBeCloseTo(996.8, 1)
    for (const [i, frame] of frames.entries()) if (i > 0) expect(frame.speaker.from).toBe(frames[i - 1]?.speaker.to)
  })

  test('stopping stops, and the clock does not rush to make up for the pause', () => {
    table.ask({ kind: 'run' })
    table.wait(160)
    table.ask({ kind: 'stop' })
    const { t } = table.frame
    table.wait(1000)
    expect(table.frame.t).toBe(t)
    table.ask({ kind: 'run' })
    table.wait(16)
    expect(table.frame.t - t).toBeLessThan(60_000)
  })
})

describe('stops', () => {
  const program = {
    kind: 'load',
    format: 'assembly',
    text: ' LD A,5\n LD (4600H),A\n OUT (22H),A\n LD B,9\n HALT',
  } as const

  test.each<[Stop, number]>([
    [{ kind: 'address', address: 0x4005 }, 0x4005],
    [{ kind: 'memory-write', address: 0x4600 }, 0x4005],
    [{ kind: 'port-write', port: 0x22 }, 0x4007],
    [{ kind: 'port-write', port: null }, 0x4007],
    [{ kind: 'register', register: 'b', is: '=', value: 9 }, 0x4009],
  ])('%j stops there', (stop, pc) => {
    table.ask(program)
    table.ask({ kind: 'stops', stops: [stop] })
    table.ask({ kind: 'run' })
    table.wait(32)
    expect([table.frame.registers.pc, table.frame.stopped]).toEqual([pc, stop])
  })

  test('a time stops at it', () => {
    table.ask({ kind: 'stops', stops: [{ kind: 'time', t: 25_000 }] })
    table.ask({ kind: 'run' })
    table.wait(64)
    expect(table.frame.t).toBeGreaterThanOrEqual(25_000)
    expect(table.frame.t).toBeLessThan(25_030)
  })
})

describe('rewinding', () => {
  test('goes back over keys that were pressed, and forward to the same again', () => {
    table.ask({ kind: 'run' })
    table.wait(200)
    for (const key of ['AT', '4', '6', '0', '0']) table.tap(key)
    table.ask({ kind: 'stop' })
    const { t, steps, registers } = table.frame
    const shown = table.shown
    table.ask({ kind: 'go-to', t: 100 })
    expect(table.frame.t).toBeLessThanOrEqual(100)
    expect(table.frame.tape).toMatchObject({ steps, tStates: t })
    table.ask({ kind: 'go-to', t })
    expect([table.frame.t, table.frame.steps, table.frame.registers, table.shown]).toEqual([t, steps, registers, shown])
  })

  test('a step back undoes a step and what was changed by hand', () => {
    table.ask({ kind: 'load', format: 'hex', text: '3E 05 06 03 80 10 FD 76' })
    table.ask({ kind: 'step' })
    table.ask({ kind: 'step-back' })
    expect(table.frame.registers.pc).toBe(0x4000)
    table.ask({ kind: 'step' })
    expect([table.frame.registers.pc, table.frame.registers.af >> 8]).toEqual([0x4002, 5])
  })

  test('back to the last moment at which a stop held', () => {
    table.ask({ kind: 'load', format: 'hex', text: '3E 05 06 03 80 10 FD 76' })
    table.ask({ kind: 'run' })
    table.wait(32)
    table.ask({ kind: 'stop' })
    table.ask({ kind: 'stops', stops: [{ kind: 'address', address: 0x4004 }] })
    table.ask({ kind: 'run-back' })
    expect([table.frame.registers.pc, table.frame.registers.bc >> 8]).toEqual([0x4004, 1])
  })

  test('a moment that was kept is come back to, even when another way was gone since', () => {
    table.ask({ kind: 'look', from: 0x4600 })
    table.ask({ kind: 'byte', address: 0x4600, value: 0x37 })
    table.ask({ kind: 'run' })
    table.wait(64)
    table.ask({ kind: 'stop' })
    table.ask({ kind: 'keep', number: 1 })
    const { t, registers } = table.frame
    table.ask({ kind: 'go-to', t: 0 })
    table.ask({ kind: 'byte', address: 0x4600, value: 0x99 })
    table.ask({ kind: 'come-back', number: 1 })
    expect([table.frame.t, table.frame.registers, table.frame.memory[0]]).toEqual([t, registers, 0x37])
  })

  test('power off is gone back over too', () => {
    table.ask({ kind: 'look', from: 0x4600 })
    table.ask({ kind: 'byte', address: 0x4600, value: 0x37 })
    table.ask({ kind: 'step' })
    table.ask({ kind: 'power-on', board: benchEight })
    expect(table.frame.memory[0]).toBe(0)
    table.ask({ kind: 'step' })
    table.ask({ kind: 'go-to', t: 1 })
    expect(table.frame.memory[0]).toBe(0x37)
  })
})

describe('a session', () => {
  const saved = (program: SessionProgram | null) => {
    table.ask({ kind: 'session', title: 'mine', program })
    const reply = table.replies.at(-1)
    if (reply?.kind !== 'session') throw new Error('no session')
    return reply.text
  }

  test('opens at another bench as it was left', () => {
    const program = { format: 'hex', text: '3E 05 06 03 80 10 FD 76' } as const
    table.ask({ kind: 'load', ...program })
    table.ask({ kind: 'step' })
    table.ask({ kind: 'byte', address: 0x4600, value: 0x37 })
    const [text, left] = [saved(program), table.frame]
    table = new Table()
    table.ask({ kind: 'look', from: 0x4600 })
    table.ask({ kind: 'open-session', text })
    expect([table.frame.registers, table.frame.t, table.frame.memory[0]]).toEqual([left.registers, left.t, 0x37])
    expect(table.replies.some((reply) => reply.kind === 'loaded' && reply.bytes === 8)).toBe(true)
  })

  test('without a program opens too', () => {
    table.ask({ kind: 'step' })
    const text = saved(null)
    table.ask({ kind: 'open-session', text })
    expect(table.replies.some((reply) => reply.kind === 'session-opened')).toBe(true)
  })

  const started: Session = {
    ...{ title: 'Case one', board: 'bench-8' },
    program: { format: 'assembly', text: ' LD HL,PLACE\n LD A,(HL)\n HALT\n', symbols: { PLACE: 0x4655 } },
    start: {
      ...{ entry: null, ends: 'halt', registers: { bc: 0x1234 }, memory: [{ at: 0x4601, bytes: [7] }], keys: [] },
      ...{ switches: 5, fill: { seed: 77, isInverted: true }, isTimerOn: false, budget: 1000 },
    },
    ...{ exercise: { id: 'T1', caseId: 'one', seed: 3, start: 5 }, tape: null, notes: [] },
    position: { step: 0, from: 0, to: 1 },
  }

  test('of a run begins with the registers and the RAM of that run, undefined ones too, and is saved so', () => {
    table.ask({ kind: 'look', from: 0x4600 })
    table.ask({ kind: 'open-session', text: writeSession(started) })
    const read = readProgram(
      { format: 'assembly', text: ' LD HL,4655h\n LD A,(HL)\n HALT\n' },
      { origin: benchEight.layout.program },
    )
    if (started.start === null) throw new Error('it has a start')
    const request = sessionRequest(started.start, benchEight, read)
    const memory = memoryAtStart(request)
    const { wz: _wz, q: _q, ...registers } = registersAtStart(request)
    expect(table.frame.registers).toMatchObject(registers)
    expect([...table.frame.memory]).toEqual([...memory.subarray(0x4600, 0x4680)])
    expect(new Set(table.frame.memory).size).toBeGreaterThan(30)
    expect(table.frame.switches).toBe(5)
    const again = readSession(saved(started.program))
    const tape = 'problems' in again ? null : again.session.tape
    if (tape === null) throw new Error('no tape')
    const played = Tape.play(benchEight, tape.fill, tape.inputs, tape.until)
    expect(memory.findIndex((byte, at) => played.machine.memory[at] !== byte)).toBe(-1)
  })

  test('kept and come back to has the RAM that it began with', () => {
    table.ask({ kind: 'look', from: 0x4620 })
    table.ask({ kind: 'open-session', text: writeSession(started) })
    const memory = [...table.frame.memory]
    table.ask({ kind: 'keep', number: 1 })
    table.ask({ kind: 'open-session', text: writeSession({ ...started, start: null }) })
    table.ask({ kind: 'step' })
    table.ask({ kind: 'come-back', number: 1 })
    expect([...table.frame.memory]).toEqual(memory)
  })

  test('keeps the switches that were moved by hand, and when', () => {
    table.ask({ kind: 'load', format: 'assembly', text: 'L: IN A,(25H)\n JR L\n' })
    table.ask({ kind: 'run' })
    table.wait(50)
    table.ask({ kind: 'switches', value: 0x81 })
    table.wait(50)
    table.ask({ kind: 'stop' })
    const again = readSession(saved(null))
    const inputs = 'problems' in again ? [] : (again.session.tape?.inputs ?? [])
    const moved = inputs.filter(({ input }) => input.kind === 'switches')
    expect(moved).toHaveLength(1)
    expect(moved[0]).toMatchObject({ input: { value: 0x81 } })
    expect(moved[0]?.t).toBeGreaterThan(50_000)
  })

  test('that is none is refused with what is wrong, and the machine stays as it is', () => {
    const { t } = table.frame
    table.ask({ kind: 'open-session', text: '{"format":"elsewhere/1"}' })
    expect(table.replies.filter((reply) => reply.kind === 'session-unreadable')).toHaveLength(1)
    expect(table.frame.t).toBe(t)
  })
})
