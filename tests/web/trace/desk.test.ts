import { beforeEach, describe, expect, test } from 'vitest'
import {
  type Exercise,
  parseExercise,
  runRequestFor,
  readOptionsFor,
  type RunnableExercise,
} from '../../../core/exercise/index.ts'
import { readProgram } from '../../../core/assembler/index.ts'
import { readSession, sessionReadOptions, sessionRequest } from '../../../core/exports/index.ts'
import { gradeProgram } from '../../../core/grading/index.ts'
import { digestOfRun, run } from '../../../core/run/index.ts'
import { laneTable } from '../../../web/trace/model/lane-table.ts'
import type { LaneWish } from '../../../web/trace/model/lane-wish.ts'
import type { Lane } from '../../../web/trace/model/lane.ts'
import type { TraceQuestion } from '../../../web/trace/model/question.ts'
import { TraceCancelled, TraceRefusal, type TraceLink } from '../../../web/trace/worker/link.ts'
import type { TakeOut } from '../../../web/trace/worker/take-out.ts'
import type { TraceSubject } from '../../../web/trace/worker/protocol.ts'
import { linkToDesk } from './link-to-desk.ts'
import { handIn } from './tram-depot.ts'

let link: TraceLink
beforeEach(() => {
  link = linkToDesk()
})

const open = async (subject: TraceSubject) => (await link.ask('open', { subject })).overview
const at = async (step: number) => (await link.ask('at', { step })).moment

async function lanes(): Promise<Map<string, Lane>> {
  const found = new Map<string, Lane>()
  await link.ask('lanes', {}, { onPart: (part) => part.kind === 'lane' && found.set(part.lane.id, part.lane) })
  return found
}

describe('opening a run', () => {
  test('gives its length, its end and its listing', async () => {
    const overview = await open(handIn('A1', 'model.hex'))
    expect(overview.end).toEqual({ kind: 'halted' })
    expect(overview.steps).toBe(9)
    expect(overview.listing.filter((line) => line.kind === 'instruction').map((line) => line.address)).toEqual([
      0x4000, 0x4002, 0x4004, 0x4005, 0x4007,
    ])
  })

  test('is the same run as the grader has', async () => {
    const subject = handIn('C1', 'model.asm')
    const overview = await open(subject)
    const exercise = subject.exercise as RunnableExercise
    const program = readProgram(subject, readOptionsFor(exercise, subject.board))
    const result = run(runRequestFor(exercise, subject.board, program, subject.caseId))
    expect([overview.tStates, overview.steps, overview.end]).toEqual([result.tStates, result.steps, result.end])
  })

  test('refuses what is no program with every mistake, and a case that is not there by its name', async () => {
    const unreadable = { ...handIn('A1', 'model.hex'), text: '3E 0\n4G' }
    const refusal = await link.ask('open', { subject: unreadable }).catch((error: unknown) => error)
    expect(refusal).toBeInstanceOf(TraceRefusal)
    expect(refusal).toMatchObject({ failure: { kind: 'unreadable' } })
    const elsewhere = { ...handIn('A1', 'model.hex'), caseId: 'nowhere' }
    await expect(link.ask('open', { subject: elsewhere })).rejects.toMatchObject({
      failure: { kind: 'no-such-case', caseId: 'nowhere' },
    })
  })

  test('nothing is answered before a run is open', async () => {
    await expect(link.ask('at', { step: 0 })).rejects.toMatchObject({ failure: { kind: 'not-open' } })
  })

  test('can be given up before it begins to run', async () => {
    const giving = new AbortController()
    const opening = link.ask('open', { subject: handIn('C1', 'model.asm') }, { signal: giving.signal })
    giving.abort()
    await expect(opening).rejects.toBeInstanceOf(TraceCancelled)
  })

  test('tells how far it is', async () => {
    const phases: string[] = []
    await link.ask(
      'open',
      { subject: handIn('A1', 'model.hex') },
      { onPart: (part) => part.kind === 'progress' && phases.push(part.phase) },
    )
    expect(phases).toEqual(['reading', 'running'])
  })
})

describe('the machine at a step', () => {
  test('stands before the next instruction and says what the last one changed', async () => {
    await open(handIn('A1', 'model.hex'))
    const start = await at(0)
    expect([start.step, start.t, start.registers.pc, start.last]).toEqual([0, 0, 0x4000, null])
    // LD A,5 takes 7 T (UM0080).
    const second = await at(1)
    expect([second.t, second.registers.pc, second.registers.af >> 8]).toEqual([7, 0x4002, 5])
    expect(second.last?.bytes).toEqual([0x3e, 0x05])
    expect(second.next?.bytes).toEqual([0x06, 0x03])
  })

  test('beyond either end is the end', async () => {
    const { steps } = await open(handIn('A1', 'model.hex'))
    expect((await at(-5)).step).toBe(0)
    const last = await at(steps + 99)
    expect([last.step, last.next, last.registers.af >> 8]).toEqual([steps, null, 0x0b])
  })

  test('in the firmware shows the code there, and the call that waits on the stack', async () => {
    const { steps } = await open(handIn('B3', 'model.asm'))
    const { step } = await link.ask('find', { from: 0, direction: 'on', what: { kind: 'port-write', port: 0x20 } })
    expect(step).not.toBeNull()
    const moment = await at(step ?? steps)
    expect(moment.place).toMatch(/^PAINT/)
    expect(moment.around.find((line) => line.address === moment.registers.pc)?.text).toMatch(/^OUT/)
    expect(moment.stack.some((word) => word.note?.includes('SHOW'))).toBe(true)
  })

  test('shows the digits as an eye sees them then', async () => {
    const { tStates } = await open(handIn('B3', 'model.asm'))
    const { step } = await link.ask('step-at', { t: Math.floor(tStates / 2) })
    const { digits } = await at(step)
    expect(digits.some((digit) => digit.state === 'steady')).toBe(true)
  })

  test('the step that runs at a T-state begins at or before it', async () => {
    await open(handIn('C1', 'model.asm'))
    for (const t of [0, 1, 1249, 1250, 100_000]) {
      const { step } = await link.ask('step-at', { t })
      expect((await at(step)).t).toBeLessThanOrEqual(t)
      expect((await at(step + 1)).t).toBeGreaterThan(t)
    }
  })
})

describe('running on and back', () => {
  test('from write to write of the speaker port and back again', async () => {
    await open(handIn('C1', 'model.asm'))
    const what = { kind: 'port-write', port: 0x22 } as const
    const first = (await link.ask('find', { from: 0, direction: 'on', what })).step ?? -1
    const second = (await link.ask('find', { from: first, direction: 'on', what })).step ?? -1
    expect((await at(second)).t - (await at(first)).t).toBe(1250)
    expect((await link.ask('find', { from: second, direction: 'back', what })).step).toBe(first)
    expect((await link.ask('find', { from: first, direction: 'back', what })).step).toBeNull()
  })
})

describe('lanes', () => {
  test('the speaker lane says frequency and edges of the bell', async () => {
    const { tStates } = await open(handIn('C1', 'model.asm'))
    const speaker = (await lanes()).get('speaker')
    expect(speaker?.kind).toBe('speaker')
    if (speaker === undefined) return
    const words = laneTable(speaker, { from: 0, to: tStates }, 20).rows.map((row) => row.words)
    expect(words).toContain('1000 Hz, 500 edges, high 50 % of the time, half periods differ by up to 0 T')
  })

  test('eight digits, and the place lane names the routine that the program calls', async () => {
    await open(handIn('A3', 'model.asm'))
    const found = await lanes()
    expect([...found.keys()].filter((id) => id.startsWith('digit'))).toHaveLength(8)
    const place = found.get('place')
    if (place?.kind !== 'place') throw new Error('no place lane')
    const visited = [...place.runs.values].map((value) => place.names[value])
    expect(visited[0]).toBe('program')
    expect(visited).toContain('PAINT')
  })

  test('the stack lane is as deep as the stack ever was', async () => {
    await open(handIn('A3', 'model.asm'))
    const depth = (await lanes()).get('depth')
    if (depth?.kind !== 'depth') throw new Error('no depth lane')
    expect(depth.deepest).toBeGreaterThanOrEqual(2)
    expect(Math.max(...depth.runs.values)).toBe(depth.deepest)
  })

  test('cover the whole run without a gap', async () => {
    const { tStates } = await open(handIn('A3', 'model.asm'))
    for (const lane of (await lanes()).values()) {
      if (lane.kind === 'marks') continue
      expect([lane.id, lane.runs.starts[0], lane.runs.end]).toEqual([lane.id, 0, tStates])
    }
  })

  test('can be given up while the run is walked', async () => {
    await open(handIn('A3', 'model.asm'))
    const giving = new AbortController()
    const asking = link.ask('lanes', {}, { signal: giving.signal })
    giving.abort()
    await expect(asking).rejects.toBeInstanceOf(TraceCancelled)
  })
})

describe('a lane that was asked for', () => {
  const laneOf = async (wish: LaneWish) => {
    const { lane } = await link.ask('lane-of', { wish })
    if (lane.kind !== 'value') throw new Error('no lane of values')
    return lane
  }

  test('a register has each value from the end of the step that made it', async () => {
    // 3E 05 06 03 80 10 FD 76: A = 5, then 3, 2 and 1 are added to it.
    const { tStates } = await open(handIn('A1', 'model.hex'))
    const { runs, title, digits } = await laneOf({ kind: 'register', name: 'A' })
    expect([title, digits, runs.end]).toEqual(['A', 2, tStates])
    expect([...runs.values].slice(1)).toEqual([5, 8, 10, 11])
    expect([...runs.starts]).toEqual([0, 7, 18, 35, 52])
  })

  test('a byte of memory has what was written to it', async () => {
    await open(handIn('A2', 'model.asm'))
    const { runs } = await laneOf({ kind: 'memory', address: 0x4600 })
    expect(runs.values.at(-1)).toBe(0x37)
  })

  test('a port has what was written to it, and a lane of lines the bits of it', async () => {
    const { tStates } = await open(handIn('A3', 'model.asm'))
    const { runs } = await laneOf({ kind: 'written', port: 0x21 })
    const select = (await lanes()).get('select')
    if (select?.kind !== 'bits') throw new Error('no lane of lines')
    expect([...select.runs.values]).toEqual([...runs.values])
    const rows = laneTable(select, { from: 0, to: tStates }, 20).rows.map((row) => row.words)
    expect(rows.slice(0, 2)).toEqual(['no digit on', 'digit 1 on'])
  })

  test('where nothing was read the port stays at 0', async () => {
    await open(handIn('A1', 'model.hex'))
    expect([...(await laneOf({ kind: 'read', port: 0x23 })).runs.values]).toEqual([0])
  })
})

describe('the speaker over a stretch', () => {
  test('is measured from its edges alone', async () => {
    await open(handIn('C1', 'model.asm'))
    const { measure } = await link.ask('measure', { span: { from: 0, to: 125_000 } })
    expect(measure.frequencyHz).toBeCloseTo(1000, 6)
  })

  test('becomes samples that cross zero as often as the tone does', async () => {
    await open(handIn('C1', 'model.asm'))
    const rate = 44_100
    const { samples } = await link.ask('sound', { span: { from: 0, to: 250_000 }, sampleRate: rate })
    expect(samples.length / rate).toBeCloseTo(0.1, 3)
    const crossings = samples.filter((sample, n) => n > 0 && sample > 0 !== (samples[n - 1] ?? 0) > 0).length
    expect(crossings).toBeGreaterThan(190)
    expect(crossings).toBeLessThan(210)
    expect(Math.max(...samples.map(Math.abs))).toBeLessThan(0.3)
  })
})

describe('questions to the run', () => {
  const ask = async (question: TraceQuestion) => (await link.ask('ask', { question })).answer

  test('why a register is what it is: the steps that made it, in their order', async () => {
    const { steps } = await open(handIn('A1', 'model.hex'))
    const answer = await ask({ kind: 'why', target: { kind: 'register', register: 'a' }, step: steps })
    expect(answer.rows.map((row) => row.text)).toEqual(expect.arrayContaining(['LD A,05H', 'ADD A,B']))
    const ordered = answer.rows.map((row) => row.step ?? 0)
    expect(ordered).toEqual(ordered.toSorted((a, b) => a - b))
    expect(answer.rows.filter((row) => row.isMain)).toHaveLength(1)
  })

  test('why a line never ran: the branch that turned away', async () => {
    await open({
      ...handIn('A1', 'other.asm'),
      text: ' LD A,1\n OR A\n JR Z,SKIP\n HALT\nSKIP: LD B,2\n HALT\n',
      format: 'assembly',
    })
    const answer = await ask({ kind: 'never', address: 0x4006 })
    expect(answer.rows[0]?.text).toMatch(/^JR Z/)
    expect(answer.rows[0]?.words).toContain('turned away')
  })

  test('who wrote a byte, and that nobody did', async () => {
    const { steps } = await open(handIn('A2', 'model.asm'))
    const written = await ask({ kind: 'writers', address: 0x4600, step: steps })
    expect(written.sentence).toContain('37h')
    expect(written.rows[0]?.isMain).toBe(true)
    expect((await ask({ kind: 'writers', address: 0x4700, step: steps })).sentence).toMatch(/^Nobody/)
  })

  test('when a register last had a value: the step that begins with it', async () => {
    const { steps } = await open(handIn('A1', 'model.hex'))
    const { rows } = await ask({ kind: 'last-was', register: 'A', value: 8, step: steps })
    expect((await at(rows[0]?.step ?? 0)).registers.af >> 8).toBe(8)
    expect((await ask({ kind: 'last-was', register: 'A', value: 0x99, step: steps })).rows).toEqual([])
  })

  test('how often an instruction ran, and each time', async () => {
    await open(handIn('A1', 'model.hex'))
    const answer = await ask({ kind: 'visits', address: 0x4004 })
    expect(answer.sentence).toMatch(/^3 times, 12 T/)
    expect(answer.rows.map((row) => row.words)).toEqual(['first', '', 'last'])
    expect((await ask({ kind: 'visits', address: 0x4100 })).sentence).toBe('Never.')
  })

  test('who used the T-states: shares of the routines come to the whole', async () => {
    await open(handIn('A3', 'model.asm'))
    const { rows } = await ask({ kind: 'usage', span: null })
    expect(rows[0]?.where).toBe('PAINT')
    const shares = rows.filter((row) => row.key.startsWith('routine')).map((row) => Number.parseFloat(row.words))
    expect(shares.reduce((sum, share) => sum + share, 0)).toBeCloseTo(100, 0)
    expect(rows.some((row) => row.where.startsWith('line '))).toBe(true)
  })

  test('how deep the stack got, and what brought it there', async () => {
    await open(handIn('A3', 'model.asm'))
    const { sentence, rows } = await ask({ kind: 'stack-mark' })
    expect(sentence).toMatch(/^\d+ bytes?: SP was 4[0-9A-F]{3}h/)
    expect(rows[0]?.text).toMatch(/PUSH|CALL/)
  })

  test('the longest time between two sweeps, with what ran meanwhile', async () => {
    await open(handIn('B3', 'model.asm'))
    const { sentence, rows } = await ask({ kind: 'sweep-gap', span: null })
    expect(sentence).toMatch(/ms .* of darkness on digit \d/)
    expect(rows.length).toBeGreaterThan(2)
  })

  test('what was running at a T-state', async () => {
    await open(handIn('A1', 'model.hex'))
    expect((await ask({ kind: 'running-at', t: 8 })).rows[0]).toMatchObject({ step: 1, text: 'LD B,03H' })
  })

  test('why a check was not passed, in the run it looked at', async () => {
    const subject = handIn('A4', 'wrong-xor-clears-carry.asm')
    await open(subject)
    const exercise = subject.exercise as Exercise
    const program = readProgram(subject, readOptionsFor(exercise, subject.board))
    const report = gradeProgram(program, exercise, subject.board, { seed: 0 })
    const check = report.checks.find((each) => each.outcome === 'failed' && each.decidedAt !== null)
    if (check === undefined) throw new Error('nothing failed')
    const answer = await ask({ kind: 'check', check })
    expect(answer.rows.map((row) => row.text)).toContain('XOR A')
    expect(answer.caseId).toBe(check.decidedAt?.caseId)
  })

  test('how often each line ran is told for all of them at once', async () => {
    await open(handIn('A1', 'model.hex'))
    const { counts } = await link.ask('counts', {})
    expect([counts.get(0x4000), counts.get(0x4004), counts.get(0x4100)]).toEqual([1, 3, undefined])
  })
})

describe('the model answer beside a hand-in', () => {
  test('has the same events as another right answer', async () => {
    await open({ ...handIn('A2', 'model.asm'), isStaffAnswer: true })
    const { comparison } = await link.ask('compare', { found: handIn('A2', 'other.asm') })
    expect(comparison.difference).toBeNull()
    expect(comparison.locked.length).toBeGreaterThan(0)
  })

  test('tells the first difference of a wrong one, with its place in both', async () => {
    await open({ ...handIn('C1', 'model.asm'), isStaffAnswer: true })
    const { comparison } = await link.ask('compare', { found: handIn('C1', 'wrong-left-high.asm') })
    expect(comparison.difference?.sentence).toBeTruthy()
    expect(comparison.difference?.at.found.step).toBeGreaterThan(0)
  })
})

describe('where a hand-in parts from the model answer', () => {
  const model = (code: string, file: string) => ({ ...handIn(code, file), isStaffAnswer: true })

  test('is the place that the comparison names, in steps of the hand-in', async () => {
    await open(model('C1', 'model.asm'))
    const { comparison } = await link.ask('compare', { found: handIn('C1', 'wrong-port.asm') })
    await open(handIn('C1', 'wrong-port.asm'))
    const { step } = await link.ask('parting', { model: model('C1', 'model.asm') })
    expect(step).toBe(comparison.difference?.at.found.step)
  })

  test('is nowhere for a right answer', async () => {
    await open(handIn('A2', 'other.asm'))
    expect((await link.ask('parting', { model: model('A2', 'model.asm') })).step).toBeNull()
  })
})

describe('files', () => {
  const file = async (wish: TakeOut) => (await link.ask('take-out', { wish })).file

  test('the lanes as a value change dump', async () => {
    const { tStates } = await open(handIn('C1', 'model.asm'))
    const { content, ending } = await file({ kind: 'vcd', span: { from: 0, to: tStates }, lanes: [] })
    expect([ending, String(content).includes('$enddefinitions')]).toEqual(['vcd', true])
  })

  test('the speaker as a sound file as long as the stretch', async () => {
    await open(handIn('C1', 'model.asm'))
    const { content } = await file({ kind: 'wav', span: { from: 0, to: 250_000 } })
    // 0.1 s of 44,100 samples of two bytes, behind a header of 44.
    expect(content.length).toBeCloseTo(44 + 2 * 4410, -2)
  })

  test('the steps of a stretch, a row each', async () => {
    const { steps, tStates } = await open(handIn('A1', 'model.hex'))
    const { content, left } = await file({ kind: 'steps', span: { from: 0, to: tStates } })
    expect(String(content).trimEnd().split('\r\n')).toHaveLength(steps + 1)
    expect(left).toBeNull()
  })

  test('a session that reads back as the same run', async () => {
    const { tStates, board } = await open(handIn('A1', 'model.hex'))
    const wish = { kind: 'session', title: 'A1', step: 3, window: { from: 0, to: 20.5 }, notes: [] } as const
    const reading = readSession(String((await file(wish)).content))
    if (!('session' in reading) || reading.session.start === null) throw new Error('no session')
    const { program, start, position } = reading.session
    const read = readProgram(program, { origin: 0x4000 })
    expect(run(sessionRequest(start, board, read)).tStates).toBe(tStates)
    expect(position).toEqual({ step: 3, from: 0, to: 21 })
  })

  test('a session of the start that a report names: the same RAM and registers, the program that calls, names too', async () => {
    const parsed = parseExercise({
      ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
      program: { ends: 'return', constants: { PLACE: '4655h' } },
      cases: [{ id: 'one', given: { switchMoves: [{ at: '1 ms', to: 3 }] }, calls: [{ draws: [{ register: 'c' }] }] }],
      groups: [{ id: 'g', title: 'G', marks: 100 }],
      checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
    })
    if (!parsed.isOk) throw new Error(JSON.stringify(parsed.problems))
    const { board } = handIn('A1', 'model.hex')
    const subject: TraceSubject = {
      ...{ text: ' LD HL,PLACE\n LD A,(HL)\n RET\n', format: 'assembly', board, exercise: parsed.exercise },
      ...{ caseId: 'one', seed: 4, start: 5 },
    }
    const wish = { kind: 'session', title: 'T1', step: 0, window: { from: 0, to: 9 }, notes: [] } as const
    const digestOf = async (of: TraceSubject): Promise<string> => {
      await open(of)
      const reading = readSession(String((await file(wish)).content))
      if (!('session' in reading) || reading.session.start === null) throw new Error('no session')
      const { program, start, exercise } = reading.session
      expect(exercise).toEqual({ id: 'T1', caseId: 'one', seed: 4, start: of.start })
      const read = readProgram(program, sessionReadOptions(program, { origin: 0x4000 }))
      return digestOfRun(run(sessionRequest(start, board, read)))
    }
    const graded = (start: number): string => {
      const program = readProgram(subject, readOptionsFor(parsed.exercise, board))
      return digestOfRun(run(runRequestFor(parsed.exercise, board, program, 'one', 4, start)))
    }
    expect(await digestOf(subject)).toBe(graded(5))
    expect(await digestOf({ ...subject, start: 2 })).toBe(graded(2))
    expect(graded(2)).not.toBe(graded(5))
  })
})

test('switches moved in a run have a lane, and stand as they do at each step', async () => {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    cases: [{ id: 'one', given: { switches: 1, switchMoves: [{ at: '20 T', to: 3 }] } }],
    groups: [{ id: 'g', title: 'G', marks: 100 }],
    checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
  })
  if (!parsed.isOk) throw new Error(JSON.stringify(parsed.problems))
  const { board } = handIn('A1', 'model.hex')
  await open({
    ...{ text: ' NOP\n NOP\n NOP\n NOP\n XOR A\n IN A,(25H)\n LD (4600H),A\n HALT\n', format: 'assembly', board },
    ...{ exercise: parsed.exercise, caseId: 'one', seed: 0 },
  })
  const lane = (await lanes()).get('switches')
  if (lane === undefined) throw new Error('no lane')
  expect(laneTable(lane, { from: 0, to: 60 }, 10).rows.map(({ from, words }) => `${from} ${words}`)).toEqual([
    '0 switch 0 on',
    '20 switches 1 and 0 on',
  ])
  expect([(await at(4)).switches, (await at(5)).switches]).toEqual([1, 3])
  const question: TraceQuestion = { kind: 'why', target: { kind: 'memory', address: 0x4600 }, step: 7 }
  const { answer } = await link.ask('ask', { question })
  expect(answer.foot).toBe('port 25h = 03h came in, as the switches stood since they were moved at 20 T.')
})
