import { writeFileSync } from 'node:fs'
import { describe, expect, test } from 'vitest'
import { benchEight, measureSpeaker, validateProfile, type BoardProfile } from '../../../core/board/index.ts'
import { vcdOf, type CpuLane } from '../../../core/exports/index.ts'
import { timescaleOf } from '../../../core/exports/timescale.ts'
import { Random, record } from '../../../core/run/index.ts'
import { registerValue } from '../../../core/run/register-value.ts'
import { allSteps, busy, request, seed } from '../run/programs.ts'
import { has, inFolder, output } from './outside-tools.ts'
import { readVcd, valueAt, type Dump } from './read-vcd.ts'

const recording = record({ ...busy, budget: 400_000 })
const steps = allSteps(recording)
const end = recording.result.tStates
const lanes: readonly CpuLane[] = [
  { kind: 'register', register: 'pc' },
  { kind: 'register', register: 'a' },
  { kind: 'register', register: 'hl' },
  { kind: 'register', register: 'iff1' },
  { kind: 'memory', address: 0x4600 },
]
const text = vcdOf(recording, benchEight, { lanes })
const dump = readVcd(text)
/** 400 ns a T-state in units of 100 ns. */
const ticks = 4

function lane(name: string, of: Dump = dump) {
  const found = of.lanes.get(`bench_8.${name}`)
  if (found === undefined) throw new Error(`no lane ${name} among ${[...of.lanes.keys()].join(', ')}`)
  return found
}

describe('the lanes of a run as a value change dump', () => {
  test('the unit of time is exact and said', () => {
    expect(dump.timescale).toBe('100 ns')
    expect(dump.comments).toContain('Bench-8, 2500000 T-states a second: one T-state is 4 x 100 ns, exactly')
    expect(dump.end).toBe(end * ticks)
  })

  test('every write to a port of the display is there at its T-state, and nothing else', () => {
    for (const [port, name] of [
      [0x20, 'display.segments'],
      [0x21, 'display.select'],
    ] as const) {
      const wanted: [number, number][] = [[0, 0]]
      for (const event of recording.events)
        if (event.kind === 'port-write' && event.port === port && event.value !== wanted.at(-1)?.[1])
          wanted.push([event.t * ticks, event.value])
      expect(lane(name).changes).toEqual(wanted)
      expect(wanted.length).toBeGreaterThan(20)
    }
  })

  test('the speaker moves when it moved', () => {
    const edges = recording.events.filter(({ kind }) => kind === 'speaker-edge')
    expect(lane('sound.speaker').changes.slice(1)).toEqual(
      edges.map((event) => [event.t * ticks, event.kind === 'speaker-edge' ? event.level : -1]),
    )
    expect(edges.length).toBeGreaterThan(3)
  })

  test('keys are down from press to release', () => {
    expect(lane('keypad.key_1').changes).toEqual(
      [
        [0, 0],
        [250_000 * ticks, 1],
        [400_000 * ticks, 0],
      ].filter(([time]) => (time ?? 0) < end * ticks),
    )
    expect(lane('keypad.key_2').changes).toEqual([[0, 0]])
    expect(dump.lanes.has('bench_8.keypad.key_AT')).toBe(true)
  })

  test('switches stand as they did at the start until they are moved', () => {
    const at = busy.given.switchMoves?.filter((move) => move.at < end) ?? []
    expect(at.length).toBeGreaterThan(2)
    expect(lane('switches.switches').changes[0]).toEqual([0, 3])
    expect(lane('switches.switches').changes.at(-1)).toEqual([(at.at(-1)?.at ?? 0) * ticks, at.at(-1)?.value])
  })

  test('an interrupt is a pulse of one T-state when it is acknowledged', () => {
    const taken = recording.events.filter(({ kind }) => kind === 'interrupt').map(({ t }) => t * ticks)
    expect(taken.length).toBeGreaterThan(5)
    expect(lane('interrupts.interrupt_taken').changes.slice(1)).toEqual(
      taken.flatMap((t) => [
        [t, 1],
        [t + ticks, 0],
      ]),
    )
  })

  test('registers and PC hold what each step begins with', () => {
    const wrong: unknown[] = []
    for (const [register, name] of [
      ['pc', 'cpu.pc'],
      ['a', 'cpu.a'],
      ['hl', 'cpu.hl'],
      ['iff1', 'cpu.iff1'],
    ] as const) {
      const { changes } = lane(name)
      let k = 0
      for (const { t, before } of steps) {
        while ((changes[k + 1]?.[0] ?? Infinity) <= t * ticks) k += 1
        if (changes[k]?.[1] !== registerValue(before, register)) wrong.push([name, t])
      }
    }
    expect(wrong).toEqual([])
  })

  test('a byte of memory', () => {
    const random = new Random(seed)
    for (let n = 0; n < 100; n++) {
      const step = steps[random.under(steps.length)]
      if (step === undefined) continue
      expect(valueAt(lane('memory.at_4600h'), step.t * ticks)).toBe(recording.at(step.step).memory[0x4600])
    }
  })

  test('a window begins with what holds at its start and has the same changes within', () => {
    const random = new Random(seed + 1)
    for (let n = 0; n < 8; n++) {
      const from = random.under(end - 1000)
      const to = from + 1 + random.under(60_000)
      const part = readVcd(vcdOf(recording, benchEight, { from, to, lanes }))
      expect(part.end).toBe(Math.min(to, end) * ticks)
      for (const [name, { changes }] of part.lanes) {
        const whole = dump.lanes.get(name)
        if (whole === undefined) throw new Error(name)
        expect([name, changes[0]]).toEqual([name, [from * ticks, valueAt(whole, from * ticks)]])
        const inside = whole.changes.filter(([time]) => time > from * ticks && time < to * ticks)
        expect(changes.slice(1).filter(([time]) => time < to * ticks)).toEqual(inside)
      }
    }
  })

  test('the same run gives the same file; a date is there only when it is given', () => {
    expect(vcdOf(recording, benchEight, { lanes })).toBe(text)
    expect(text).not.toContain('$date')
    const dated = vcdOf(recording, benchEight, { date: '25 November 2026', title: 'Bell $end now', to: 100 })
    expect(dated).toContain('$date 25 November 2026 $end')
    expect(readVcd(dated).comments[0]).toBe('Bell end now')
  })

  test('a run without a step has a file too', () => {
    const empty = record(request('NOP', { breakpoints: [0x4000] }))
    expect(readVcd(vcdOf(empty, benchEight)).end).toBe(0)
  })
})

describe('the unit of a clock', () => {
  test.each([
    [2_500_000, '100 ns', 4n],
    [4_000_000, '10 ns', 25n],
    [1_000_000, '1 us', 1n],
    [3_000_000, '1 ps', null],
    [3_200_000, '100 ps', 3125n],
    [4_096_000, '1 fs', 244_140_625n],
    [3_579_545, '1 ps', null],
    [1, '1 s', 1n],
    [10, '100 ms', 1n],
  ])('%i Hz', (hz, unit, perTState) => {
    const timescale = timescaleOf(hz)
    expect([timescale.text, timescale.ticksPerTState]).toEqual([unit, perTState])
    if (perTState !== null) expect(timescale.ticks(7_000_001)).toBe(7_000_001n * perTState)
  })

  test('rounding is to the nearest and does not add up', () => {
    const { ticks: ticksOf } = timescaleOf(3_000_000)
    expect([1, 2, 3, 300_000_001].map(ticksOf)).toEqual([333_333n, 666_667n, 1_000_000n, 100_000_000_333_333n])
  })

  test('a file that is rounded says so', () => {
    const reading = validateProfile({ ...benchEight, clockHz: 3_579_545 })
    if (!('profile' in reading)) throw new Error('profile')
    const odd: BoardProfile = reading.profile
    const rounded = readVcd(vcdOf(record({ ...request('OUT (20H),A | HALT'), profile: odd }), odd))
    expect(rounded.timescale).toBe('1 ps')
    expect(rounded.comments[0]).toContain('rounded to the nearest 1 ps')
  })
})

test('bit by bit it says the same', () => {
  const bits = readVcd(vcdOf(recording, benchEight, { lanes, asBits: true }))
  for (const [name, { bits: width, changes }] of dump.lanes) {
    if (width === 1) expect(bits.lanes.get(name)?.changes).toEqual(changes)
    else
      for (let bit = 0; bit < width; bit++) {
        const kept = changes.filter(([, value], k) => k === 0 || ((value ^ (changes[k - 1]?.[1] ?? 0)) >> bit) & 1)
        expect(bits.lanes.get(`${name}_${bit}`)?.changes).toEqual(kept.map(([t, value]) => [t, (value >> bit) & 1]))
      }
  }
})

const gtkwave = has('vcd2fst', '--help') && has('fst2vcd', '--help')
if (!gtkwave) console.log('left out: lanes read by gtkwave (package gtkwave is not there)')
describe.skipIf(!gtkwave)('gtkwave reads the file', () => {
  test('and every lane that it writes out again is the same', () => {
    const again = inFolder((path) => {
      writeFileSync(path('lanes.vcd'), text)
      output('vcd2fst', path('lanes.vcd'), path('lanes.fst'))
      return readVcd(output('fst2vcd', path('lanes.fst')))
    })
    expect([...again.lanes.keys()].sort()).toEqual([...dump.lanes.keys()].sort())
    for (const [name, { bits, changes }] of dump.lanes)
      expect([name, again.lanes.get(name)?.bits, again.lanes.get(name)?.changes]).toEqual([name, bits, changes])
  })
})

const sigrok = has('sigrok-cli', '--version')
if (!sigrok) console.log('left out: lanes read by sigrok-cli (it is not there)')
// libsigrok 0.5.2, which Debian 12 has, reads lanes of one bit only.
describe.skipIf(!sigrok)('sigrok-cli reads the file', () => {
  /** The channels asked for, sample by sample. */
  function samples(dumped: string, ...channels: readonly string[]) {
    const rows = inFolder((path) => {
      writeFileSync(path('lanes.vcd'), dumped)
      return output('sigrok-cli', '-I', 'vcd', '-i', path('lanes.vcd'), '-C', channels.join(','), '-O', 'csv')
    })
    const lines = rows.split('\n').filter((line) => /^[01](,[01])*$/.test(line))
    return { rate: Number(/samplerate: (\d+)/.exec(rows)?.[1]), lines }
  }

  test('the speaker has the frequency that the lane says', () => {
    const tone = record(request('LOOP: LD B,94 | DJNZ $ | XOR 1 | OUT (22H),A | JR LOOP', { budget: 250_000 }))
    const { rate, lines } = samples(vcdOf(tone, benchEight, { asBits: true }), 'speaker')
    expect(rate).toBe(10_000_000)
    const edges = lines.flatMap((level, k) => (k > 0 && level !== lines[k - 1] ? [k] : []))
    const [first = 0, last = 0] = [edges[0], edges.at(-1)]
    const measured = ((edges.length - 1) * rate) / (2 * (last - first))
    expect(measured).toBe(measureSpeaker(tone.events, benchEight).frequencyHz)
    // 94 · 13 + 32 = 1,254 T for half a period at 2.5 MHz.
    expect(measured).toBeCloseTo(996.8, 1)
  })

  test('the segments are lit when they are', () => {
    const from = steps.find(({ pc }) => pc === 0x0040)?.t ?? 0
    const { lines } = samples(
      vcdOf(recording, benchEight, { from, to: from + 20_000, asBits: true }),
      'select_0',
      'select_7',
    )
    for (const bit of [0, 7]) {
      const wanted = lane('display.select')
      const lit = lines.filter((line) => line.split(',')[bit === 0 ? 0 : 1] === '1').length
      let time = 0
      wanted.changes.forEach(([t, value], k) => {
        const until = Math.min((wanted.changes[k + 1] ?? [end * ticks])[0], (from + 20_000) * ticks)
        if ((value >> bit) & 1) time += Math.max(0, until - Math.max(t, from * ticks))
      })
      expect(time).toBeGreaterThan(5000)
      expect(lit).toBe(time)
    }
  })
})
