import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { Trial } from '../../../core/trial/trial.ts'
import { caseInstances, modelProgram, runRequestFor } from '../../../core/exercise/index.ts'
import { Machine, record, run, runToStop, Tape, type RunRequest, type Stop } from '../../../core/run/index.ts'
import { prepare } from '../../../core/run/execute.ts'
import { exerciseOf, folders } from '../exercise/tram-depot.ts'
import { cutsOf, drivenWithRestores, engines, machineOn, outcomeOf, ranInPieces, stateOf } from './cuts.ts'
import { busy, request, seed } from './programs.ts'
import { anyProgram, quickTimer } from './random-programs.ts'

console.log(`random programs drawn with SEED=${seed}`)
const drawn = { seed, numRuns: 40 }
const ways = Object.entries(cutsOf)

/** The uncut run beside the same run cut in every way, on both engines. */
function expectUncut(of: RunRequest, names: readonly (keyof typeof cutsOf)[] = Object.keys(cutsOf)) {
  const whole = outcomeOf(record(of).result)
  for (const engine of engines)
    for (const name of names) {
      const cuts = cutsOf[name]?.() ?? (() => 1)
      expect(ranInPieces(of, cuts, engine), `${name}, ${engine}`).toEqual(whole)
    }
}

/** The same with the machine saved and put back at each cut, up to the end of the uncut run. */
function expectRestorable(of: RunRequest, names: readonly (keyof typeof cutsOf)[]) {
  const machine = machineOn('WebAssembly', of.profile)
  prepare(machine, of)
  const stop = machine.advance(of.budget, true)
  const whole = { stop, ...stateOf(machine) }
  for (const engine of engines)
    for (const name of names) {
      const cuts = cutsOf[name]?.() ?? (() => 1)
      expect(drivenWithRestores(of, of.budget, cuts, engine), `${name}, ${engine}`).toEqual(whole)
    }
}

describe('a run cut into pieces is the run', () => {
  test.each([
    ['ends with DI and HALT after its last interrupt', 'POP HL | DI | HALT'],
    ['ends with HALT in its handler', 'HALT'],
    ['goes on in the program with interrupts off', 'RET'],
    ['goes to sleep again', 'EI | RET'],
  ])('a program that waits in HALT and %s', (_name, handler) => {
    for (const profile of [benchEight, quickTimer])
      expectUncut(
        request(`LD HL,TICK | LD (4710H),HL | EI | HALT | INC A | OUT (22H),A | HALT | HALT | TICK: ${handler}`, {
          ...{ profile, budget: 120_000, given: { isTimerOn: true } },
        }),
      )
  })

  test('programs of any kind', () => {
    fc.assert(
      fc.property(anyProgram, (of) => expectUncut(of)),
      drawn,
    )
  })

  test('with the machine saved and put back at each cut', () => {
    fc.assert(
      fc.property(anyProgram, (of) => expectRestorable(of, ['each T-state', 'at random'])),
      { ...drawn, numRuns: 15 },
    )
    expectRestorable({ ...busy, budget: 300_000 }, ['every 97 T', 'at random'])
  })

  test.each(folders)('the model answer of %s', (folder) => {
    const exercise = exerciseOf(folder)
    const program = modelProgram(exercise, benchEight)
    if (program === null) throw new Error('every exercise of the course has a model answer')
    const [first] = caseInstances(exercise)
    const of = runRequestFor(exercise, benchEight, program, first?.id ?? '', 7)
    const short = { ...of, budget: Math.min(of.budget, 60_000) }
    expectUncut(short)
    expectUncut({ ...of, budget: Math.min(of.budget, 1_300_000) }, ['every million T', 'at random'])
    expectRestorable(short, ['at random'])
  })
})

test('a trial of a program that sleeps and ends in its handler is its graded run', () => {
  const exercise = exerciseOf('D2')
  const { image, entry } = request(
    'LD HL,TICK | LD (4710H),HL | EI | LOOP: HALT | CALL PAINT | JR LOOP | TICK: LD HL,4600H | INC (HL) | LD A,(HL) | CP 9 | JR Z,LAST | EI | RET | LAST: POP HL | DI | HALT',
  )
  const program = modelProgram(exercise, benchEight)
  if (program === null) throw new Error('D2 has a model answer')
  const trial = new Trial(exercise, benchEight, { ...program, image, entry }, 3)
  for (const stage of trial.stages) {
    const tried = trial.tried(stage, image).run
    const { end, ...whole } = outcomeOf(run(tried.request))
    expect(end).toEqual({ kind: 'halted' })
    const { lowestSp: _some, ...one } = { ...whole, lowestSp: null }
    const { lowestSp: _other, ...other } = { ...outcomeOf(tried.result), lowestSp: null }
    expect(other).toEqual({ end, ...one })
  }
})

describe('what ends a run ends it wherever it is cut', () => {
  test('a stack fault while an interrupt is accepted out of HALT', () => {
    const of = request('LD SP,1000H | EI | HALT | JR $', { given: { isTimerOn: true }, budget: 60_000 })
    expect(run(of).end).toEqual({ kind: 'stack-fault', sp: 0x0ffe })
    expectUncut(of)
  })

  test('a RET when the run is first looked at for a loop', () => {
    for (let rounds = 49_900; rounds < 50_060; rounds += 1) {
      const n = Math.floor((rounds - 60) / 26)
      const rest = (rounds - 60) % 26
      const text = `LD BC,${n} | WAIT: DEC BC | LD A,B | OR C | JR NZ,WAIT | ${'INC A | '.repeat(rest >> 2)} RET`
      expect(run(request(text, { ends: 'return', budget: 80_000 })).end.kind).toBe('returned')
    }
  })

  test('the limit of events, at the instruction that reaches it', () => {
    const of = request('LOOP: OUT (30H),A | XOR 1 | JR LOOP', { eventLimit: 1001, budget: 400_000 })
    expect(run(of).events.length).toBe(1001)
    expectUncut(of)
  })

  test('the limit of events where edges of the speaker count for more', () => {
    const of = request('LOOP: OUT (22H),A | XOR 1 | JR LOOP', { eventLimit: 1001, budget: 400_000 })
    expect(run(of).events.length).toBeLessThan(500)
    expectUncut(of)
  })
})

test('events stand in the order of their times', () => {
  fc.assert(
    fc.property(anyProgram, (of) => {
      const times = run(of)
        .events.toArray()
        .map(({ t }) => t)
      expect(times).toEqual(times.toSorted((a, b) => a - b))
    }),
    drawn,
  )
})

/** A tape on which a request's program has been started. */
function taped(of: RunRequest): Tape {
  const tape = new Tape(of.profile, of.given.fill)
  prepare(tape.machine, of)
  return tape
}

describe('on the bench', () => {
  const program = request(`LD B,200 | LOOP: INC A | OUT (22H),A | DJNZ LOOP | DI | HALT`, { budget: 20_000 })
  const stops: readonly Stop[] = [{ kind: 'address', address: 0x4003 }]

  /** Every moment at which the machine stops until T-state `until`, when it runs for `share` T-states at a time. */
  function stopsOf(of: RunRequest, wanted: readonly Stop[], share: () => number, until: number) {
    const tape = taped(of)
    tape.setStops(wanted)
    const found: unknown[] = []
    while (tape.t < until) {
      const stop = tape.run(Math.min(until, tape.t + share()))
      if (stop !== null) found.push([tape.step, tape.t, stop.kind])
    }
    return found
  }

  test.each(ways)('an address stop is seen in pieces cut %s', (_name, cuts) => {
    expect(stopsOf(program, stops, cuts(), 6000)).toEqual(stopsOf(program, stops, () => 20_000, 6000))
    expect(stopsOf(program, stops, cuts(), 6000).length).toBeGreaterThan(100)
  })

  test('stops of every kind are seen in pieces of any length', () => {
    const wanted: readonly Stop[] = [
      { kind: 'address', address: 0x4010 },
      { kind: 'memory-write', address: 0x4600 },
      { kind: 'port-write', port: 0x22 },
      { kind: 'time', t: 9_001 },
      { kind: 'register', register: 'a', is: '=', value: 0x23 },
    ]
    fc.assert(
      fc.property(anyProgram, fc.subarray([...wanted], { minLength: 1 }), (of, some) => {
        const whole = stopsOf(of, some, () => 60_000, 12_000)
        expect(stopsOf(of, some, () => 1, 12_000)).toEqual(whole)
        expect(stopsOf(of, some, () => 97, 12_000)).toEqual(whole)
      }),
      { ...drawn, numRuns: 25 },
    )
  })

  test('a moment gone back to is the moment as it was run to', () => {
    fc.assert(
      fc.property(anyProgram, fc.array(fc.nat(40_000), { minLength: 1, maxLength: 3 }), (of, times) => {
        const machine = new Machine(of.profile)
        prepare(machine, of)
        const recording = record({ ...of, isLoopRunOut: true, budget: 40_000 })
        for (const t of times.toSorted((a, b) => a - b)) {
          if (t >= recording.result.tStates) break
          machine.advance(t, false)
          const there = recording.at(machine.steps)
          expect(there.t).toBe(machine.tStates)
          expect(there.registers).toEqual(machine.registers())
          expect(Buffer.from(there.memory).equals(machine.memory)).toBe(true)
        }
      }),
      drawn,
    )
  })

  test('runToStop from a machine that stands at its end', () => {
    const machine = new Machine(benchEight)
    prepare(machine, program)
    expect(runToStop(machine, 11, stops)).toEqual(stops[0])
    expect(machine.tStates).toBe(11)
  })
})
