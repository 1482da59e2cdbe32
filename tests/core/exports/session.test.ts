import { Ajv2020 } from 'ajv/dist/2020.js'
import fc from 'fast-check'
import { describe, expect, test } from 'vitest'
import { readProgram } from '../../../core/assembler/index.ts'
import { benchEight } from '../../../core/board/index.ts'
import { mergeImages } from '../../../core/image/index.ts'
import {
  readSession,
  sessionJsonSchema,
  sessionReadOptions,
  sessionRequest,
  sessionStart,
  writeSession,
  type Session,
} from '../../../core/exports/index.ts'
import { digestOfRun, run, Tape } from '../../../core/run/index.ts'

const session: Session = {
  title: 'Crossing bell, second try',
  board: 'bench-8',
  program: {
    format: 'assembly',
    text: ' LD A,(FIRST)\n OUT (22H),A\n HALT\n',
    origin: 0x4010,
    symbols: { FIRST: 0x4600 },
  },
  start: {
    ...{ entry: null, ends: 'halt', registers: { bc: 0x1234, iff1: true }, memory: [{ at: 0x4600, bytes: [0xff, 0] }] },
    ...{ keys: [{ key: 'AT', from: 10, to: 20, bounceTStates: 5 }], switches: 3, fill: { seed: -7 } },
    ...{ isTimerOn: true, budget: 100_000, timerPhase: 77, mayExecute: [{ from: 0x4600, to: 0x4601 }] },
    switchMoves: [
      { at: 30, value: 1 },
      { at: 40, value: 0x81, isIdle: true },
    ],
  },
  exercise: { id: 'c1', caseId: 'as-it-is', seed: 12, start: 5 },
  tape: {
    fill: { byte: 0 },
    inputs: [
      { t: 0, input: { kind: 'bytes', at: 0x4000, bytes: [0x3e, 0x05, 0x76] } },
      { t: 0, input: { kind: 'registers', set: { pc: 0x4000 } } },
      { t: 9, input: { kind: 'key', key: 'RUN', isDown: true } },
      { t: 11, input: { kind: 'switches', value: 8 } },
      { t: 11, input: { kind: 'timer', isOn: true } },
      { t: 500, input: { kind: 'reset' } },
      { t: 900, input: { kind: 'power-on', fill: { seed: 4 } } },
    ],
    until: 5000,
  },
  notes: [{ from: 3, to: 4, by: 'an assistant', text: 'B is loaded too late' }],
  position: { step: 3, from: 0, to: 400 },
}

const opened = (text: string) => {
  const reading = readSession(text)
  if ('problems' in reading) throw new Error(JSON.stringify(reading.problems))
  return reading.session
}
/** The file of a session, spoiled. */
function spoiled(change: (file: Record<string, unknown>) => void): string[] {
  const file = JSON.parse(writeSession(session)) as Record<string, unknown>
  change(file)
  const reading = readSession(JSON.stringify(file))
  return 'problems' in reading ? reading.problems.map(({ code, message }) => `${code} · ${message}`) : []
}

describe('a session as a file', () => {
  test('comes back as it was, and its file too', () => {
    const text = writeSession(session)
    expect(opened(text)).toEqual(session)
    expect(writeSession(opened(text))).toBe(text)
    expect(JSON.parse(text)).toMatchObject({ format: 'hexcairn-session/1' })
  })

  test('parts that are not there are null', () => {
    const bare = { ...session, start: null, exercise: null, tape: null, notes: [] }
    expect(opened(writeSession(bare))).toEqual(bare)
  })

  test('whatever the texts and numbers are', () => {
    const word = fc.integer({ min: 0, max: 0xffff })
    const bytes = fc.array(fc.integer({ min: 0, max: 0xff }), { maxLength: 20 })
    fc.assert(
      fc.property(fc.string({ maxLength: 100, unit: 'grapheme' }), word, bytes, fc.nat(1e9), (text, at, some, t) => {
        const any: Session = {
          ...session,
          title: text,
          program: { format: 'hex', text },
          start:
            session.start === null
              ? null
              : { ...session.start, entry: at, memory: [{ at, bytes: some }], budget: t + 1 },
          notes: [{ from: 0, to: t, by: text, text }],
          position: { step: t, from: t, to: t },
        }
        expect(opened(writeSession(any))).toEqual(any)
      }),
    )
  })

  test('an outside validator with the published schema takes it, and not a spoiled one', () => {
    const validate = new Ajv2020({ strict: false }).compile(sessionJsonSchema)
    const file = JSON.parse(writeSession(session)) as Record<string, unknown>
    expect([validate(file), validate.errors]).toEqual([true, null])
    expect(validate({ ...file, board: 8 })).toBe(false)
    expect(validate({ ...file, more: 1 })).toBe(false)
    expect(validate({ ...file, tape: { fill: { byte: 0 }, until: 9, inputs: [{ t: 0, kind: 'shout' }] } })).toBe(false)
  })

  test('a byte order mark in front does not matter', () => {
    expect(opened(`\uFEFF${writeSession(session)}`)).toEqual(session)
  })

  test('the run that it describes is the same on any Hexcairn', () => {
    const { start, program } = opened(writeSession(session))
    if (start === null || session.start === null) throw new Error('start')
    const read = readProgram(program, sessionReadOptions(program, { origin: benchEight.layout.program }))
    expect(read.entry).toBe(0x4010)
    const again = run(sessionRequest(start, benchEight, read))
    // The timer ends the HALT, and behind it there is no program.
    expect(again.end.kind).toBe('left-program')
    expect(again.registers.bc).toBe(0x1234)
    expect(digestOfRun(again)).toBe(digestOfRun(run(sessionRequest(session.start, benchEight, read))))
  })

  test('a run with a driver, moves of switches and a timer out of phase comes back whole', () => {
    const program = readProgram({ format: 'hex', text: '4000: 34 DB 25 C9' }, { origin: 0x4000 })
    const driver = readProgram({ format: 'hex', text: '4100: 21 00 46 CD 00 40 CD 00 40 76' }, { origin: 0x4100 })
    if (session.start === null) throw new Error('start')
    const { mayExecute: _none, ...start } = { ...session.start, registers: {}, memory: [{ at: 0x4600, bytes: [3] }] }
    const plain = sessionRequest({ ...start, entry: 0x4100 }, benchEight, program)
    const request = { ...plain, image: mergeImages(program.image, driver.image).image }
    const text = writeSession({ ...session, start: sessionStart(request, program) })
    const again = opened(text).start
    if (again === null) throw new Error('start')
    const whole = run(request)
    expect([whole.end.kind, whole.memory[0x4600]]).toEqual(['halted', 5])
    expect(digestOfRun(run(sessionRequest(again, benchEight, program)))).toBe(digestOfRun(whole))
  })

  test('what was done on the bench can be played', () => {
    const { tape } = opened(writeSession(session))
    if (tape === null || session.tape === null) throw new Error('tape')
    const played = Tape.play(benchEight, tape.fill, tape.inputs, tape.until)
    const first = Tape.play(benchEight, session.tape.fill, session.tape.inputs, session.tape.until)
    expect(played.length).toEqual(first.length)
    expect(played.machine.cpu.save()).toEqual(first.machine.cpu.save())
  })
})

describe('a file that cannot be opened says what is wrong', () => {
  test.each([
    ['', 'not-json'],
    ['{"format": "hexcairn-session/1",', 'not-json'],
    ['MZ\0\0', 'not-json'],
    ['[]', 'wrong-kind'],
    ['null', 'wrong-kind'],
    ['{}', 'missing'],
    ['{"format": "hexcairn-session/2"}', 'other-version'],
    ['{"format": "something else"}', 'not-allowed'],
  ])('%j: %s', (text, code) => {
    const reading = readSession(text)
    expect('problems' in reading ? reading.problems[0]?.code : 'opened').toBe(code)
  })

  test('a longer text than any session is not read', () => {
    const reading = readSession(' '.repeat(20_000_001))
    expect('problems' in reading ? reading.problems[0]?.code : 'opened').toBe('too-long')
  })

  test('every place that is wrong has its path', () => {
    expect(
      spoiled((file) => {
        file['title'] = 7
        file['program'] = { format: 'basic', text: 'x', more: 1 }
        delete file['board']
      }),
    ).toEqual([
      'missing · board: found nothing; allowed: a value, this one must be given',
      'wrong-kind · title: found 7; allowed: text',
      'not-allowed · program.format: found "basic"; allowed: assembly, hex, intel-hex',
      'unknown-name · program.more: found "more"; allowed: format, text, origin, symbols',
    ])
  })

  test.each([
    ['start.memory[0].hex', { memory: [{ at: 0, hex: '3E 0' }] }],
    ['start.memory[0].at', { memory: [{ at: 65_536, hex: '' }] }],
    ['start.registers.xy', { registers: { xy: 1 } }],
    ['start.registers.af', { registers: { af: 65_536 } }],
    ['start.budget', { budget: 0 }],
    ['start.fill', { fill: 3 }],
    ['start.keys[0].to', { keys: [{ key: '1', from: 20, to: 19 }] }],
    ['start.switchMoves[0].value', { switchMoves: [{ at: 1, value: 256 }] }],
    ['start.mayExecute[0].to', { mayExecute: [{ from: 20, to: 19 }] }],
  ])('%s', (path, change) => {
    const problems = spoiled((file) => Object.assign(file['start'] ?? {}, change))
    expect(problems).toHaveLength(1)
    expect(problems[0]).toContain(` ${path}: found `)
  })

  test.each([
    [
      'tape.inputs[1].kind',
      [
        { t: 0, kind: 'reset' },
        { t: 0, kind: 'shout' },
      ],
    ],
    ['tape.inputs[0].isDown', [{ t: 0, kind: 'key', key: '1' }]],
    ['tape.inputs[0].hex', [{ t: 0, kind: 'bytes', at: 1, hex: 'GG' }]],
    [
      'tape.inputs[1].t',
      [
        { t: 5, kind: 'reset' },
        { t: 4, kind: 'reset' },
      ],
    ],
    ['tape.inputs[0].t', [{ t: 5001, kind: 'reset' }]],
    ['tape.inputs[0].t', [{ t: -1, kind: 'reset' }]],
    ['tape.inputs[0].extra', [{ t: 1, kind: 'reset', extra: 1 }]],
  ])('%s', (path, inputs) => {
    const problems = spoiled((file) => Object.assign(file['tape'] ?? {}, { inputs }))
    expect(problems[0]).toContain(` ${path}: found `)
  })

  test('a note or a window that ends before it begins', () => {
    const problems = spoiled((file) => {
      Object.assign((file['notes'] as object[])[0] ?? {}, { to: 2 })
      Object.assign(file['position'] ?? {}, { from: 401 })
    })
    expect(problems).toEqual([
      'out-of-range · notes[0].to: found 2; allowed: 3 or more, which is where it begins',
      'out-of-range · position.to: found 400; allowed: 401 or more, which is where it begins',
    ])
  })
})
