import { describe, expect, test } from 'vitest'
import { assemble } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { Machine, Random, Tape, runToStop, type Input, type Stop } from '../../../core/run/index.ts'
import { registerValue } from '../../../core/run/register-value.ts'
import { seed } from './programs.ts'

console.log(`random inputs drawn with SEED=${seed}`)

function bytesOf(text: string): readonly number[] {
  const lines = text.split('|').map((line) => (/^ *\w+:/.test(line) ? line.trim() : ` ${line.trim()}`))
  const { image, problems } = assemble(lines.join('\n'), { origin: 0x4000, symbols: benchEight.firmware.symbols })
  if (problems.length > 0) throw new Error(JSON.stringify(problems))
  return [...(image.segments[0]?.bytes ?? [])]
}

/** Counts, sounds, sweeps and takes keys: nearly everything that a board does. */
const program = bytesOf(
  `LOOP: LD HL,4600H | INC (HL) | LD A,(HL) | OUT (22H),A | CALL GLYPH | LD (4707H),A | CALL PAINT | IN A,(23H)
   | LD (4601H),A | JR LOOP`,
)
const start: readonly Input[] = [
  { kind: 'bytes', at: 0x4000, bytes: program },
  { kind: 'registers', set: { pc: 0x4000, sp: 0x4800 } },
]

/** All that a machine is, in a form to compare. */
function stateOf(machine: Machine) {
  return {
    cpu: machine.cpu.save(),
    board: machine.board.save(),
    memory: Buffer.from(machine.memory).toString('base64'),
    digits: machine.digitsNow().map(({ segments, state }) => `${segments} ${state}`),
  }
}

function randomInput(random: Random): Input {
  const key = ['0', '7', 'RUN', 'A'][random.under(4)] ?? '0'
  switch (random.under(7)) {
    case 0:
    case 1:
      return { kind: 'key', key, isDown: random.under(2) === 0 }
    case 2:
      return { kind: 'switches', value: random.byte() }
    case 3:
      return { kind: 'timer', isOn: random.under(2) === 0 }
    case 4:
      return { kind: 'bytes', at: 0x4600 + random.under(16), bytes: [random.byte()] }
    case 5:
      return { kind: 'registers', set: { de: random.word() } }
    default:
      return { kind: 'reset' }
  }
}

/** A tape with a past: `count` stretches of up to 300,000 T-states, an input behind each; and what it was at each end. */
function played(count: number, inputs: (k: number, random: Random) => Input) {
  const random = new Random(seed)
  const tape = new Tape(benchEight, { seed: 5 })
  for (const input of start) tape.put(input)
  const seen: { step: number; t: number; state: ReturnType<typeof stateOf> }[] = []
  for (let k = 0; k < count; k++) {
    tape.run(tape.t + random.under(300_000))
    tape.put(inputs(k, random))
    tape.stepOn()
    seen.push({ step: tape.step, t: tape.t, state: stateOf(tape.machine) })
  }
  return { tape, seen, random }
}

describe('going back on a tape', () => {
  test('every moment is as it was, whatever order they are gone to in', () => {
    const { tape, seen, random } = played(60, (_, chance) => randomInput(chance))
    expect(tape.isAtEnd).toBe(true)
    const end = tape.length
    for (let n = 0; n < 150; n++) {
      const moment = seen[random.under(seen.length)] ?? { step: 0, t: 0, state: null }
      tape.goTo(moment.step)
      expect([tape.step, tape.t]).toEqual([moment.step, moment.t])
      expect(stateOf(tape.machine)).toEqual(moment.state)
    }
    expect(tape.length).toEqual(end)
    expect(tape.inputs).toHaveLength(62)
  })

  test('running over what was recorded comes to the same end', () => {
    const { tape, seen } = played(20, (_, chance) => randomInput(chance))
    const { tStates } = tape.length
    tape.goTo(0)
    expect(tape.isAtEnd).toBe(false)
    tape.run(tStates)
    expect(stateOf(tape.machine)).toEqual(seen.at(-1)?.state)
    expect(tape.isAtEnd).toBe(true)
  })

  test('a power-off is gone back over', () => {
    const { tape, seen, random } = played(12, (k, chance) =>
      k % 4 === 3 ? { kind: 'power-on', fill: { seed: k } } : randomInput(chance),
    )
    expect(tape.machine.tStates).toBeLessThan(tape.t)
    for (let n = 0; n < 40; n++) {
      const moment = seen[random.under(seen.length)] ?? { step: 0, t: 0, state: null }
      tape.goTo(moment.step)
      expect(tape.t).toBe(moment.t)
      expect(stateOf(tape.machine)).toEqual(moment.state)
    }
  })

  test('step by step back is step by step on, read backwards', () => {
    const { tape } = played(6, (_, chance) => randomInput(chance))
    tape.goTo(tape.length.steps - 40)
    const on: unknown[] = []
    for (let k = 0; k < 40; k++) {
      on.push(stateOf(tape.machine))
      tape.stepOn()
    }
    for (const state of on.reverse()) {
      tape.stepBack()
      expect(stateOf(tape.machine)).toEqual(state)
    }
    tape.goTo(0)
    tape.stepBack()
    expect(tape.step).toBe(0)
  })

  test('a T-state is in the step that is executed at it', () => {
    const { tape, random } = played(5, (_, chance) => randomInput(chance))
    for (let n = 0; n < 20; n++) {
      const t = random.under(tape.length.tStates)
      tape.goToTime(t)
      expect(tape.t).toBeLessThanOrEqual(t)
      tape.stepOn()
      expect(tape.t).toBeGreaterThan(t)
    }
    tape.goToTime(1e12)
    expect(tape.step).toBe(tape.length.steps)
    tape.goToTime(-5)
    expect(tape.step).toBe(0)
  })

  test('something put in at an earlier moment forgets what came after it, and only that', () => {
    const { tape, seen } = played(10, (_, chance) => randomInput(chance))
    const fourth = seen[3] ?? { step: 0, t: 0, state: null }
    tape.goTo(fourth.step)
    tape.put({ kind: 'bytes', at: 0x4600, bytes: [0x99] })
    expect(tape.length).toEqual({ steps: fourth.step, tStates: fourth.t })
    expect(tape.inputs).toHaveLength(2 + 4 + 1)
    tape.run(tape.t + 100_000)
    const now = stateOf(tape.machine)
    const { step } = tape
    tape.goTo(fourth.step)
    expect(tape.machine.memory[0x4600]).toBe(0x99)
    tape.goTo(seen[1]?.step ?? 0)
    expect(stateOf(tape.machine)).toEqual(seen[1]?.state)
    tape.goTo(step)
    expect(stateOf(tape.machine)).toEqual(now)
  })

  test('its inputs and its length are all that is needed to make it again', () => {
    const { tape, seen } = played(15, (k, chance) =>
      k === 7 ? { kind: 'power-on', fill: { byte: 3 } } : randomInput(chance),
    )
    const again = Tape.play(benchEight, { seed: 5 }, structuredClone(tape.inputs), tape.length.tStates)
    expect(again.length).toEqual(tape.length)
    expect(stateOf(again.machine)).toEqual(seen.at(-1)?.state)
    again.goTo(seen[2]?.step ?? 0)
    expect(stateOf(again.machine)).toEqual(seen[2]?.state)
  })

  test('ten minutes of the board are kept, back to the very first step', () => {
    const tape = new Tape(benchEight)
    for (const input of start) tape.put(input)
    tape.put({ kind: 'registers', set: { pc: 0x4100, hl: 0x4600 } })
    tape.put({
      kind: 'bytes',
      at: 0x4100,
      bytes: bytesOf('LOOP: LD BC,4000 | WAIT: DEC BC | LD A,B | OR C | JR NZ,WAIT | INC (HL) | JR LOOP'),
    })
    tape.run(600 * benchEight.clockHz)
    const { steps, tStates } = tape.length
    for (const step of [1000, Math.floor(steps / 2), 0]) {
      tape.goTo(step)
      expect(tape.step).toBe(step)
    }
    tape.goTo(steps)
    expect(tape.t).toBe(tStates)
  })

  test('what is written outside RAM changes nothing, so that going back has nothing to undo', () => {
    const tape = new Tape(benchEight)
    const rom = tape.machine.memory[0x0040]
    tape.put({ kind: 'bytes', at: 0x0040, bytes: [0x55] })
    expect(tape.machine.memory[0x0040]).toBe(rom)
  })
})

describe('where it stops', () => {
  /** A machine about to execute the program, stepped one by one: what a stop must be. */
  function naive(stops: readonly Stop[], limit: number): { steps: number; stop: Stop } | null {
    const machine = prepared()
    const first = machine.steps
    const holds = (stop: Stop) =>
      stop.kind === 'register' &&
      {
        '=': (a: number, b: number) => a === b,
        '≠': (a: number, b: number) => a !== b,
        '<': (a: number, b: number) => a < b,
        '>': (a: number, b: number) => a > b,
      }[stop.is](registerValue(machine.registers(), stop.register), stop.value)
    let before = stops.map(holds)
    while (machine.tStates < limit) {
      const from = machine.events.length
      const memory = machine.memory.slice()
      const pc = machine.registers().pc
      machine.step()
      const events = machine.events.toArray().slice(from)
      const now = stops.map(holds)
      const hit = stops.find((stop, k) => {
        switch (stop.kind) {
          case 'address':
            return machine.registers().pc === stop.address
          case 'memory-write':
            return memory[stop.address] !== machine.memory[stop.address] || (pc === 0x4003 && stop.address === 0x4600)
          case 'port-read':
          case 'port-write':
            return events.some((event) => event.kind === stop.kind && (stop.port === null || event.port === stop.port))
          case 'time':
            return machine.tStates >= stop.t
          case 'register':
            return (now[k] ?? false) && !(before[k] ?? false)
        }
      })
      if (hit !== undefined) return { steps: machine.steps - first, stop: hit }
      before = now
    }
    return null
  }

  function prepared(): Machine {
    const machine = new Machine(benchEight)
    machine.memory.set(program, 0x4000)
    machine.setRegisters({ pc: 0x4000, sp: 0x4800 })
    return machine
  }

  const stops: readonly Stop[] = [
    { kind: 'address', address: 0x400d },
    { kind: 'address', address: 0x4000 },
    { kind: 'memory-write', address: 0x4600 },
    { kind: 'memory-write', address: 0x4707 },
    { kind: 'port-write', port: 0x21 },
    { kind: 'port-read', port: null },
    { kind: 'port-write', port: null },
    { kind: 'time', t: 12_345 },
    { kind: 'register', register: 'a', is: '=', value: 1 },
    { kind: 'register', register: 'b', is: '<', value: 3 },
    { kind: 'register', register: 'sp', is: '≠', value: 0x4800 },
    { kind: 'register', register: 'hl', is: '>', value: 0x4703 },
    { kind: 'register', register: 'c', is: '=', value: 0x77 },
  ]

  test.each(stops)('%o', (stop) => {
    const machine = prepared()
    const found = runToStop(machine, 60_000, [stop])
    const wanted = naive([stop], 60_000)
    expect(found).toEqual(wanted?.stop ?? null)
    if (wanted !== null) expect(machine.steps).toBe(wanted.steps)
    else expect(machine.tStates).toBeGreaterThanOrEqual(60_000)
  })

  test('the first of several', () => {
    const random = new Random(seed + 1)
    for (let n = 0; n < 12; n++) {
      const some = stops.filter(() => random.under(3) === 0).filter(({ kind }) => kind !== 'time')
      const machine = prepared()
      const found = runToStop(machine, 40_000, some)
      const wanted = naive(some, 40_000)
      expect(machine.steps).toBe(wanted?.steps ?? machine.steps)
      expect(found === null).toBe(wanted === null)
    }
  })

  test('on from a stop it comes to the next one, and nothing is left behind in the machine', () => {
    const stop: Stop = { kind: 'register', register: 'a', is: '=', value: 0x3f }
    const machine = prepared()
    const times: number[] = []
    while (machine.tStates < 500_000) if (runToStop(machine, 500_000, [stop]) !== null) times.push(machine.tStates)
    expect(times.length).toBeGreaterThan(1)
    const plain = prepared()
    plain.runUntil(500_000)
    expect(stateOf(machine)).toEqual(stateOf(plain))
    expect(machine.events.toArray()).toEqual(plain.events.toArray())
  })

  test('back to the last stop is the last one that was come to on the way', () => {
    const tape = new Tape(benchEight)
    for (const input of start) tape.put(input)
    const stop: Stop = { kind: 'memory-write', address: 0x4707 }
    tape.setStops([stop, { kind: 'register', register: 'a', is: '=', value: 0x06 }])
    const moments: number[] = []
    while (tape.t < 3_000_000) if (tape.run(3_000_000) !== null) moments.push(tape.step)
    expect(moments.length).toBeGreaterThan(100)
    for (const moment of moments.toReversed().slice(0, 25)) {
      expect(tape.runBack()).not.toBeNull()
      expect(tape.step).toBe(moment)
    }
    tape.goTo(moments[0] ?? 0)
    expect(tape.runBack()).toBeNull()
    expect(tape.step).toBe(moments[0])
  })

  test('back to an address where a mark stands, and to the very start', () => {
    const tape = new Tape(benchEight)
    tape.run(1_000_000)
    tape.setStops([{ kind: 'address', address: 0 }])
    expect(tape.runBack()).toEqual({ kind: 'address', address: 0 })
    expect(tape.step).toBe(0)
  })
})
