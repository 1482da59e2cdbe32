import { describe, expect, test } from 'vitest'
import { benchEight, measureSpeaker } from '../../../core/board/index.ts'
import { digestOfRun, memoryAtStart, record, registersAtStart, run } from '../../../core/run/index.ts'
import { sixLamps } from '../board/six-lamps.ts'
import { request } from './programs.ts'

/** How a program ends, in one object with the figures asked for. */
const endOf = (...args: Parameters<typeof request>) => run(request(...args)).end

describe('how a run ends', () => {
  test('HALT: the time is that of all instructions, its own 4 T included', () => {
    const result = run(request('LD A,5 | LD B,6 | LOOP: ADD A,B | DJNZ LOOP | HALT'))
    // UM0080: 7 + 7 + 6·4 + 5·13 + 8 + 4 T.
    expect(result).toMatchObject({ end: { kind: 'halted' }, tStates: 115, steps: 15, lastPc: 0x4007 })
    expect(result.registers.af >> 8).toBe(5 + 6 + 5 + 4 + 3 + 2 + 1)
  })

  test('RET to the caller, with the stack as it was', () => {
    const result = run(request('PUSH BC | POP DE | RET', { ends: 'return' }))
    expect(result).toMatchObject({ end: { kind: 'returned' }, tStates: 31 })
    expect(result.registers.sp).toBe(0x4800)
  })

  test('a given SP is where the return address goes below', () => {
    const result = run(request('RET', { ends: 'return', given: { registers: { sp: 0x4700 } } }))
    expect([result.end.kind, result.registers.sp]).toEqual(['returned', 0x4700])
  })

  test('coming back with something left on the stack is a stack fault, not a return', () => {
    expect(endOf(`JP ${benchEight.firmware.returnTo ?? 0}`, { ends: 'return' })).toEqual({
      kind: 'stack-fault',
      sp: 0x47fe,
    })
  })

  test('RET without a CALL takes an address from above the stack', () => {
    expect(endOf('RET')).toEqual({ kind: 'stack-fault', sp: 0x4802 })
    expect(endOf('POP BC | RET', { ends: 'return' })).toEqual({ kind: 'stack-fault', sp: 0x4802 })
  })

  test('a stack that grows out of RAM stops at the push', () => {
    expect(endOf('LD SP,4001H | PUSH BC | HALT')).toEqual({ kind: 'stack-fault', sp: 0x3fff })
    expect(endOf('LD SP,0100H | RST 8')).toEqual({ kind: 'stack-fault', sp: 0x00fe })
  })

  test('so does an interrupt that finds no stack', () => {
    const result = run(request('LD SP,0100H | EI | JR $', { given: { isTimerOn: true } }))
    expect(result.end).toEqual({ kind: 'stack-fault', sp: 0x00fe })
    expect(result.tStates).toBeLessThan(25_030)
  })

  test('past the end of the program, the first byte of fill is as far as it gets', () => {
    expect(endOf('NOP | NOP')).toEqual({ kind: 'left-program', address: 0x4002, from: 0x4001 })
  })

  test('a jump astray tells from where', () => {
    expect(endOf('NOP | JP 4500H')).toEqual({ kind: 'left-program', address: 0x4500, from: 0x4001 })
    expect(endOf('LD HL,9000H | JP (HL)')).toEqual({ kind: 'left-program', address: 0x9000, from: 0x4003 })
    expect(endOf('LD HL,4400H | PUSH HL | RET')).toEqual({ kind: 'left-program', address: 0x4400, from: 0x4004 })
  })

  test('a program may build code where the request allows it', () => {
    const text = 'LD A,76H | LD (4500H),A | JP 4500H'
    expect(endOf(text).kind).toBe('left-program')
    expect(endOf(text, { mayExecute: [{ from: 0x4500, to: 0x4500 }] }).kind).toBe('halted')
  })

  test('a breakpoint stops before its instruction', () => {
    const result = run(request('LD A,1 | LD A,2 | LD A,3 | HALT', { breakpoints: [0x4004] }))
    expect([result.end, result.registers.af >> 8]).toEqual([{ kind: 'breakpoint', address: 0x4004 }, 2])
  })

  test('returning counts before a breakpoint at the same place', () => {
    const rom = Array.from({ length: 0x1000 }, (_, address) => address)
    expect(endOf('RET', { ends: 'return', breakpoints: rom }).kind).toBe('returned')
    expect(endOf('CALL GLYPH | RET', { ends: 'return', breakpoints: rom })).toEqual({
      kind: 'breakpoint',
      address: 0x60,
    })
  })

  test('the budget stops it behind the instruction that passes it, with the loop that it sat in', () => {
    const result = run(request('NOP | LOOP: INC HL | LD A,(4100H) | JR LOOP', { budget: 1000 }))
    // 4 + 31·32 = 996, then INC HL.
    expect(result).toMatchObject({ end: { kind: 'budget-used-up', loop: { from: 0x4001, to: 0x4005 } }, tStates: 1002 })
  })

  test('time in the firmware belongs to the loop that calls it', () => {
    expect(endOf('NOP | AGAIN: CALL PAINT | JR AGAIN')).toMatchObject({ loop: { from: 0x4001, to: 0x4004 } })
    expect(endOf('CALL GETKEY | HALT')).toMatchObject({
      kind: 'budget-used-up',
      loop: { from: benchEight.firmware.labels.WKDOWN },
    })
  })

  test('too many events stop it as the budget does', () => {
    const result = run(request('AGAIN: OUT (99H),A | JR AGAIN', { eventLimit: 1000, budget: 100_000_000 }))
    expect(result.end.kind).toBe('budget-used-up')
    expect(result.tStates).toBeLessThan(2_000_000)
  })

  test('asked not to go on, it stops', () => {
    const times: number[] = []
    const onProgress = (t: number) => times.push(t) < 2
    const result = run(request('LOOP: INC HL | OUT (99H),A | JR LOOP', { budget: 10_000_000 }), { onProgress })
    expect(result.end.kind).toBe('stopped')
    expect(times.map((t) => Math.floor(t / 1_000_000))).toEqual([1, 2])
  })
})

describe('the proof that a loop never ends', () => {
  test.each([
    ['JR $', 0x4000, 0x4000],
    ['LOOP: NOP | INC A | JP LOOP', 0x4000, 0x4002],
    ['LD B,5 | LOOP: IN A,(23H) | OR A | JR Z,LOOP | HALT', 0x4002, 0x4005],
  ])('%s', (text, from, to) => {
    const result = run(request(text, { budget: 40_000_000 }))
    expect(result.end).toEqual({ kind: 'proven-loop', loop: { from, to } })
    expect(result.tStates).toBeLessThan(1_000_000)
  })

  test('a loop that can be heard is heard to the end of the budget', () => {
    const result = run(request('LD A,0 | TONE: LD B,94 | DJNZ $ | XOR 1 | OUT (22H),A | JR TONE'))
    expect(result.end.kind).toBe('proven-loop')
    expect(result.tStates).toBeGreaterThanOrEqual(4_000_000)
    // Domain page §3.1: half period 1254 T.
    expect(measureSpeaker(result.events, request('NOP').profile)).toMatchObject({ jitterTStates: 0 })
    expect(measureSpeaker(result.events, request('NOP').profile).frequencyHz).toBeCloseTo(996.81, 2)
  })

  test('a key still to come, or a count that goes on, is no proof', () => {
    const wait = 'LD A,1 | OUT (21H),A | LOOP: IN A,(23H) | OR A | JR Z,LOOP | HALT'
    expect(endOf(wait, { given: { keys: [{ key: '0', from: 3_000_000, to: 3_100_000 }] } }).kind).toBe('halted')
    expect(endOf('LOOP: INC DE | JR LOOP', { budget: 500_000 }).kind).toBe('budget-used-up')
  })

  test('a loop that an interrupt will end is no proof', () => {
    const text = 'LD HL,DONE | LD (4710H),HL | EI | JR $ | DONE: HALT'
    expect(endOf(text, { given: { isTimerOn: true }, budget: 40_000_000 })).toEqual({ kind: 'halted' })
  })

  test('it can be asked to run on', () => {
    expect(run(request('JR $', { isLoopRunOut: true, budget: 1_000_000 }))).toMatchObject({
      end: { kind: 'proven-loop' },
      tStates: 1_000_008,
    })
  })
})

describe('what a run starts from', () => {
  test('fill, what the firmware made ready, image, given bytes, return address, in this order', () => {
    const memory = memoryAtStart(
      request('LD A,5 | RET', {
        ends: 'return',
        given: { fill: { byte: 0xaa }, memory: [{ at: 0x4001, bytes: [0x77] }] },
      }),
    )
    expect([...memory.slice(0x4000, 0x4004)]).toEqual([0x3e, 0x77, 0xc9, 0xaa])
    expect([...memory.slice(0x47fc, 0x4802)]).toEqual([0xaa, 0xaa, 0x7a, 0x00, 0xff, 0xff])
    expect([...memory.slice(0x470f, 0x4714)]).toEqual([0xaa, 0x44, 0x02, 0x00, 0x40])
    expect(memory[0x0000]).toBe(0xf3)
  })

  test('the memory at the start is what the run has at step 0', () => {
    const asked = request('HALT', { given: { fill: { seed: 5 } } })
    expect(run({ ...asked, breakpoints: [0x4000] }).memory).toEqual(memoryAtStart(asked))
  })

  test('a seed fills RAM and registers with what looks like chance, another seed with something else', () => {
    const start = (seed: number) => {
      const asked = request('HALT', { given: { fill: { seed } } })
      return [memoryAtStart(asked).slice(0x4100, 0x4600), registersAtStart(asked)] as const
    }
    expect(start(1)).toEqual(start(1))
    expect(start(1)[0]).not.toEqual(start(2)[0])
    expect(start(1)[1]).not.toEqual(start(2)[1])
    expect(new Set(start(1)[0]).size).toBeGreaterThan(200)
    expect(start(1)[1]).toMatchObject({ pc: 0x4000, sp: 0x4800, im: 1, iff1: false, i: 0, r: 0 })
  })

  test('given registers are there, the others are not zero by kindness', () => {
    const result = run(request('HALT', { given: { registers: { bc: 0x1234, hl: 0 }, fill: { byte: 0x55 } } }))
    expect(result.registers).toMatchObject({ bc: 0x1234, hl: 0, de: 0x5555, ix: 0x5555 })
  })

  test('switches are read as given', () => {
    expect(run(request('IN A,(25H) | HALT', { given: { switches: 0x5a } })).registers.af >> 8).toBe(0x5a)
  })

  test('ROM and empty memory ignore writes, empty memory reads FFh', () => {
    const result = run(request('LD A,12H | LD (0000H),A | LD (9000H),A | LD A,(9000H) | HALT'))
    expect([result.memory[0], result.registers.af >> 8]).toEqual([0xf3, 0xff])
  })

  test('another board: RAM from 0, no firmware to return to', () => {
    const result = run(request('LD A,42 | LD (2000H),A | RET', { profile: sixLamps, ends: 'return' }))
    expect([result.end.kind, result.memory[0x2000], result.registers.sp]).toEqual(['returned', 42, 0x8000])
  })
})

describe('events of a run', () => {
  test('port accesses have the T-state of their strobe and the address of their instruction', () => {
    const result = run(request('LD A,1 | OUT (22H),A | IN A,(25H) | HALT', { given: { switches: 9 } }))
    const [write, edge, read] = result.events.toArray()
    expect([write?.kind, edge?.kind, read?.kind]).toEqual(['port-write', 'speaker-edge', 'port-read'])
    expect([write, read].map((event) => event !== undefined && 'pc' in event && event.pc)).toEqual([0x4002, 0x4004])
    expect([write?.t, read?.t].every((t, k) => (t ?? 0) > 7 + 11 * k && (t ?? 0) < 18 + 11 * k)).toBe(true)
  })

  test('writes to memory are told when asked for, with what was ignored', () => {
    const asked = request('LD HL,4600H | LD (HL),7 | LD (0000H),HL | CALL GLYPH | HALT', { isWatchingWrites: true })
    const writes = run(asked).events.filter(({ kind }) => kind === 'memory-write')
    expect(writes.map((event) => event.kind === 'memory-write' && [event.address, event.value, event.pc])).toEqual([
      [0x4600, 0x07, 0x4003],
      [0x0000, 0x00, 0x4005],
      [0x0001, 0x46, 0x4005],
      [0x47ff, 0x40, 0x4008],
      [0x47fe, 0x0b, 0x4008],
    ])
    expect(run({ ...asked, isWatchingWrites: false }).events.length).toBe(0)
  })

  test('watching changes nothing else', () => {
    const asked = request(
      'LD BC,300 | LOOP: PUSH BC | CALL GLYPH | POP BC | DEC BC | LD A,B | OR C | JR NZ,LOOP | HALT',
    )
    const [plain, watched] = [run(asked), run({ ...asked, isWatchingWrites: true })]
    expect(watched.lowestSp).toBe(0x47fc)
    expect({ ...watched, events: null, lowestSp: null }).toEqual({ ...plain, events: null })
  })

  test('keys that nobody looks at are told too', () => {
    const result = run(
      request('LD BC,100 | CALL WAITMS | HALT', { given: { keys: [{ key: '5', from: 100, to: 200 }] } }),
    )
    expect(result.events.toArray()).toEqual([
      { kind: 'key', t: 100, key: '5', isDown: true },
      { kind: 'key', t: 200, key: '5', isDown: false },
    ])
  })
})

describe('switches that move during the run', () => {
  const watching = 'LD HL,4600H | LOOP: IN A,(25H) | LD (HL),A | INC L | JR NZ,LOOP | HALT'
  const given = {
    switches: 1,
    switchMoves: [
      { at: 700, value: 0x81 },
      { at: 300, value: 3 },
      { at: 2000, value: 0x81 },
    ],
  }

  test('are read as they stand at the T-state of the read, and told once where they change', () => {
    const result = run(request(watching, { given }))
    expect(result.events.filter(({ kind }) => kind === 'switches')).toEqual([
      { kind: 'switches', t: 300, value: 3 },
      { kind: 'switches', t: 700, value: 0x81 },
    ])
    const reads = result.events.filter(({ kind }) => kind === 'port-read')
    expect(reads).toHaveLength(256)
    for (const read of reads) expect(read).toMatchObject({ value: read.t < 300 ? 1 : read.t < 700 ? 3 : 0x81 })
  })

  test('stand so in a trace at any step, whatever order they are looked at in', () => {
    const recording = record(request(watching, { given }))
    for (const step of [900, 0, 60, 30, 70, 5])
      expect(recording.at(step).outputs.switches).toBe(
        recording.at(step).t < 300 ? 1 : recording.at(step).t < 700 ? 3 : 0x81,
      )
  })

  test('a move to come keeps a waiting loop from being proven endless', () => {
    const waiting = request('WAIT: IN A,(25H) | RLCA | JR NC,WAIT | HALT', {
      given: { switchMoves: [{ at: 3_000_000, value: 0x80 }] },
    })
    expect(run(waiting).end).toEqual({ kind: 'halted' })
    expect(run({ ...waiting, given: { ...waiting.given, switchMoves: [] } }).end.kind).toBe('proven-loop')
  })

  test('a run that ends before a move never sees it', () => {
    expect(run(request('HALT', { given })).events.length).toBe(0)
  })
})

describe('the timer', () => {
  const counting = 'LD HL,TICK | LD (4710H),HL | LD HL,0 | EI | WAIT: JR WAIT | TICK: INC HL | EI | RET'

  test('interrupts a hundred times a second', () => {
    const result = run(request(counting, { given: { isTimerOn: true }, budget: 2_500_100 }))
    expect(result.registers.hl).toBe(100)
    expect(result.events.filter(({ kind }) => kind === 'interrupt')).toHaveLength(100)
    expect(result.events.filter(({ kind }) => kind === 'interrupt-lost')).toHaveLength(0)
  })

  test('wakes a HALT that waits for it; a HALT with interrupts off is the end', () => {
    const text = (last: string) =>
      `LD HL,TICK | LD (4710H),HL | LD B,3 | EI | HALT | DJNZ $-1 | ${last} | HALT | TICK: EI | RET`
    const result = run(request(text('DI'), { given: { isTimerOn: true } }))
    expect(result.end).toEqual({ kind: 'halted' })
    expect(result.events.length).toBe(3)
    expect(Math.floor(result.tStates / 25_000)).toBe(3)
  })

  test('a HALT with interrupts on and no timer is the end', () => {
    expect(run(request('EI | HALT')).end.kind).toBe('halted')
  })

  test('a program that keeps interrupts off loses ticks', () => {
    const result = run(request('LD BC,55 | CALL WAITMS | HALT', { given: { isTimerOn: true } }))
    expect(result.events.toArray().map(({ kind, t }) => [kind, t])).toEqual([
      ['interrupt-lost', 50_000],
      ['interrupt-lost', 75_000],
      ['interrupt-lost', 100_000],
      ['interrupt-lost', 125_000],
    ])
  })

  test('in mode 2 the handler is found by the table that I points to', () => {
    const result = run(
      request('LD A,20H | LD I,A | LD HL,TICK | LD (20FFH),HL | EI | JR $ | TICK: HALT', {
        ...{ profile: sixLamps, mayExecute: [] },
        given: { isTimerOn: true },
      }),
    )
    expect([result.end.kind, Math.floor(result.tStates / 80_000)]).toEqual(['halted', 1])
  })

  test('the interrupt tells where it came', () => {
    const result = run(request(counting, { given: { isTimerOn: true }, budget: 30_000 }))
    expect(result.events.at(0)).toMatchObject({ kind: 'interrupt', pc: 0x400a })
    expect(result.events.at(0)?.t).toBeGreaterThanOrEqual(25_000)
    expect(result.events.at(0)?.t).toBeLessThan(25_020)
  })
})

describe('the same request', () => {
  const busy = request('LOOP: CALL GETKEY | CALL GLYPH | LD (4700H),A | OUT (22H),A | JR LOOP', {
    ...{ budget: 2_000_000, isWatchingWrites: true },
    given: {
      ...{ fill: { seed: 77 }, isTimerOn: true },
      keys: [1, 2, 3].map((k) => ({
        key: `${k}`,
        from: k * 400_000,
        to: k * 400_000 + 150_000,
        bounceTStates: 12_500,
      })),
    },
  })

  test('gives the same events, byte for byte, and the same digest', () => {
    const [first, second] = [run(busy), run(structuredClone(busy))]
    expect(second.events.toArray()).toEqual(first.events.toArray())
    expect(digestOfRun(second)).toBe(digestOfRun(first))
  })

  test('gives a digest that has not changed since it was written here', () => {
    // No outside source: it holds Node, Chromium and tomorrow's engine to what this one did.
    expect(digestOfRun(run(busy))).toMatchInlineSnapshot(`"45afddc209053f4d"`)
  })

  test('a request that differs in anything seen has another digest', () => {
    const digests = [
      busy,
      { ...busy, budget: 2_000_100 },
      { ...busy, isWatchingWrites: false },
      { ...busy, given: { ...busy.given, fill: { seed: 78 } } },
      { ...busy, given: { ...busy.given, keys: busy.given.keys.slice(1) } },
    ].map((asked) => digestOfRun(run(asked)))
    expect(new Set(digests).size).toBe(digests.length)
  })

  test('a run leaves nothing behind for the next', () => {
    const alone = digestOfRun(run(busy))
    run(request('LD SP,4100H | PUSH BC | JR $', { isWatchingWrites: true, breakpoints: [0x4003] }))
    run(request('JR $', { given: { isTimerOn: true, switches: 255 } }))
    expect(digestOfRun(run(busy))).toBe(alone)
  })

  test('gives the same on a machine that has run another program as on a new one', () => {
    const requests = [
      request('LD B,0 | AGAIN: INC IX | DJNZ AGAIN | LD (4500H),IX | EI | HALT', { given: { isTimerOn: true } }),
      { ...request('HALT'), entry: 0x5000 },
      request('LOOP: LD A,(4500H) | INC A | OUT (22H),A | DEC C | JR NZ,LOOP | JR LOOP', { budget: 300_000 }),
      request('XOR A | LOOP: JR NZ,LOOP | JR LOOP', { ends: 'return' }),
      request('LD A,R | LD SP,20H | PUSH AF', { breakpoints: [0x4002] }),
    ]
    const fresh = requests.map((each) => run({ ...each, profile: structuredClone(each.profile) }))
    for (const order of [requests, requests.toReversed()]) {
      const reused = new Map(order.map((each) => [each, run(each)]))
      expect(requests.map((each) => reused.get(each))).toEqual(fresh)
    }
  })
})
