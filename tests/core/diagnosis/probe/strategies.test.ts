import { describe, expect, test } from 'vitest'
import { parse } from 'yaml'
import { benchEight } from '../../../../core/board/index.ts'
import { probe, type StrategyResult, type SurvivingStrategy } from '../../../../core/diagnosis/index.ts'
import { parseExercise, type Exercise } from '../../../../core/exercise/index.ts'

interface Parts {
  readonly model: readonly string[]
  readonly ends?: 'halt' | 'return'
  /** Where bytes may stand, as the document says it. */
  readonly ranges?: string
  readonly cases: readonly string[]
  readonly checks: readonly string[]
}

function exerciseOf({ model, ends = 'halt', ranges, cases, checks }: Parts): Exercise {
  const text = `
format: hexcairn-exercise/1
id: small
title: Small
board: bench-8
brief: Small.
program: { ends: ${ends}${ranges === undefined ? '' : `, ranges: ${ranges}`} }
cases:
${cases.map((each) => `  - ${each}`).join('\n')}
groups: [{ id: all, title: All, marks: 100 }]
checks:
${checks.map((each, i) => `  - { id: c${i}, title: C${i}, group: all, ${each} }`).join('\n')}
model: { format: assembly, text: ${JSON.stringify(model.map((line) => `${line}\n`).join(''))} }`
  const parsed = parseExercise(parse(text))
  if (!parsed.isOk) throw new Error(parsed.problems.map(({ message }) => message).join('\n'))
  return parsed.exercise
}

function strategiesOn(parts: Parts): StrategyResult {
  const result = probe(exerciseOf(parts), benchEight, { most: 1 })
  if (result === null) throw new Error('the model answer should pass')
  return result.strategies
}

function survivor(parts: Parts, words: RegExp): SurvivingStrategy | undefined {
  return strategiesOn(parts).survivors.find((each) => words.test(each.words))
}

/** The exercise with the case and the check that were proposed, in the words of a document. */
function mended(parts: Parts, { suggestion }: SurvivingStrategy): Parts {
  const { check, plainCase, caseId } = suggestion
  const fields = Object.entries(check ?? {}).map(([name, value]) => `${name}: ${JSON.stringify(value)}`)
  return {
    ...parts,
    cases: plainCase === null ? parts.cases : [...parts.cases, JSON.stringify(plainCase)],
    checks: check === null ? parts.checks : [...parts.checks, `${fields.join(', ')}, cases: [${caseId}]`],
  }
}

const memoryCase = (id: string, bytes: string): string =>
  `{ id: ${id}, given: { memory: [{ at: 4600h, bytes: '${bytes}' }] } }`
const wants = (at: string, length = 1): string => `kind: memory, want: [{ at: ${at}, bytes: model, length: ${length} }]`

const adder = [' LD HL,4600h', ' LD A,(HL)', ' INC HL', ' ADD A,(HL)', ' LD (4602h),A', ' HALT']
/** Stores the smaller of two bytes. */
const smaller = [
  ' LD HL,4601h',
  ' LD A,(4600h)',
  ' CP (HL)',
  ' JR C,FIRST',
  ' LD A,(HL)',
  'FIRST: LD (4602h),A',
  ' HALT',
]
/** Stores which of two bytes is the larger, the first where they are alike. */
const place = [
  ' LD HL,4601h',
  ' LD B,0',
  ' LD A,(4600h)',
  ' CP (HL)',
  ' JR NC,FIRST',
  ' INC B',
  'FIRST: LD A,B',
  ' LD (4602h),A',
  ' HALT',
]
const copier = [' LD A,B', ' OR C', ' RET Z', ' LDIR', ' RET']
const copying = (id: string, hl: string, bc: number): string =>
  `{ id: ${id}, given: { registers: { hl: ${hl}, de: 4680h, bc: ${bc} }, memory: [{ at: 4600h, bytes: 01 02 03 04 05 06 07 08 }] } }`
const summing = [' XOR A', 'NEXT: ADD A,(HL)', ' INC HL', ' DJNZ NEXT', ' LD (4700h),A', ' HALT']
const keyCase = (id: string, ...keys: string[]): string =>
  `{ id: ${id}, given: { keys: [${keys.map((key, i) => `{ key: '${key}', at: ${100 + 200 * i} ms, for: 80 ms }`).join(', ')}] } }`
const twoKeys = [' CALL GETKEY', ' LD (4600h),A', ' CALL GETKEY', ' LD (4601h),A', ' HALT']
const byteKey = [' CALL GETKEY', ' CP 10h', ' JR NC,OTHER', ' LD (4600h),A', 'OTHER: HALT']
const switchReader = [' IN A,(25h)', ' AND 3', ' LD (4600h),A', ' HALT']
const flagged = [' LD A,(4601h)', ' LD C,A', ' LD A,(4600h)', ' OR A', ' RET']

const counting = [' LD HL,4600h', ' INC (HL)', ' RET']
const copyingByte = [' LD A,(4600h)', ' LD (4601h),A', ' RET']
const called = (id: string, times: number): string =>
  `{ id: ${id}, given: { memory: [{ at: 4600h, bytes: '05' }] }, calls: [{ times: ${times} }] }`
/** Adds the keys and their number up to one that is no digit. */
const addingKeys = [
  'NEXT: CALL GETKEY',
  ' CP 10',
  ' JR NC,DONE',
  ' INC A',
  ' LD HL,4600h',
  ' ADD A,(HL)',
  ' LD (HL),A',
  ' JR NEXT',
  'DONE: HALT',
]
/** Keeps the last key before one that is no digit. */
const keepingKey = ['NEXT: CALL GETKEY', ' CP 10', ' JR NC,DONE', ' LD (4600h),A', ' JR NEXT', 'DONE: HALT']
/** Waits for one of the keys below 10h, whatever else is pressed. */
const pickyKeys = ['AGAIN: CALL GETKEY', ' CP 10h', ' JR NC,AGAIN', ' LD (4600h),A', 'SECOND: CALL GETKEY']
/** Counts one key up to another one. */
const countingKey = [
  'AGAIN: CALL GETKEY',
  ' CP 4',
  ' JR Z,DONE',
  ' CP 3',
  ' JR NZ,AGAIN',
  ' LD HL,4600h',
  ' INC (HL)',
  ' JR AGAIN',
  'DONE: HALT',
]
const shown = ['memory: [{ at: 4700h, bytes: 3F 06 5B 4F 66 6D 7D 07 }', "{ at: 4600h, bytes: '00' }]"].join(', ')
const keysAndDigits = (id: string, ...keys: string[]): string =>
  keyCase(id, ...keys).replace('given: {', `given: { ${shown},`)
/** Stores 1 where HL is DE. */
const equalWords = [
  ' LD B,0',
  ' LD A,H',
  ' CP D',
  ' JR NZ,DONE',
  ' LD A,L',
  ' CP E',
  ' JR NZ,DONE',
  ' INC B',
  'DONE: LD A,B',
  ' LD (4700h),A',
  ' HALT',
]
const steppingCopier = ['NEXT: LDI', ' JP PE,NEXT', ' RET']

describe('a strategy that gets full marks is told, and the case and check proposed stop it', () => {
  test.each<[string, RegExp, boolean, Parts]>([
    [
      'one result for every input',
      /looks at no input/,
      false,
      { model: adder, cases: [memoryCase('one', '05 07')], checks: [wants('4602h')] },
    ],
    [
      'results looked up',
      /looks up the results/,
      true,
      { model: adder, cases: [memoryCase('one', '05 07'), memoryCase('two', 'C8 64')], checks: [wants('4602h')] },
    ],
    [
      'a routine that works once',
      /called first/,
      true,
      {
        model: [' LD HL,4600h', ' INC (HL)', ' RET'],
        ends: 'return',
        cases: [memoryCase('one', '05')],
        checks: [wants('4600h')],
      },
    ],
    [
      'a signal that sounds twice',
      /everything twice/,
      true,
      {
        model: [' LD HL,20', ' LD DE,48', ' CALL BUZZ', ' HALT'],
        cases: ['{ id: one }'],
        checks: ['kind: speaker, frequency: 1000, frequencyWithin: 5 %'],
      },
    ],
    [
      'a flag from the wrong value',
      /flag from the wrong value/,
      true,
      {
        model: flagged,
        ends: 'return',
        cases: [memoryCase('empty', '00 00'), memoryCase('full', '05 07')],
        checks: ['kind: flags, want: { z: model }'],
      },
    ],
    [
      'bytes compared with a sign',
      /as if bytes had a sign/,
      true,
      { model: smaller, cases: [memoryCase('small', '05 09'), memoryCase('large', 'C8 FA')], checks: [wants('4602h')] },
    ],
    [
      'equal values on the wrong side',
      /equal values/,
      true,
      { model: place, cases: [memoryCase('less', '05 09'), memoryCase('more', '20 03')], checks: [wants('4602h')] },
    ],
    [
      'the low byte of a count',
      /only at the low byte of a 16-bit count/,
      false,
      {
        model: copier,
        ends: 'return',
        cases: [copying('few', '4600h', 8), copying('none', '4600h', 0)],
        checks: [wants('4680h', 16)],
      },
    ],
    [
      'a pointer that crosses no page',
      /crosses no page/,
      false,
      {
        model: summing,
        cases: ['{ id: few, given: { registers: { hl: 4600h, b: 3 }, memory: [{ at: 4600h, bytes: 01 02 03 }] } }'],
        checks: [wants('4700h')],
      },
    ],
    [
      'the first key over and over',
      /takes the first key/,
      false,
      { model: twoKeys, cases: [keyCase('same', '3', '3')], checks: [wants('4600h', 2)] },
    ],
    [
      'a switch that is not looked at',
      /one of the switches for off/,
      true,
      { model: switchReader, cases: ['{ id: on, given: { switches: 1 } }'], checks: [wants('4600h')] },
    ],
    [
      'a routine that works as often as the case calls it',
      /works 2 times and then no more/,
      true,
      { model: counting, ends: 'return', cases: [called('two', 2)], checks: [wants('4600h')] },
    ],
    [
      'a routine that has to be called before',
      /only when it has been called before/,
      true,
      { model: copyingByte, ends: 'return', cases: [called('two', 2)], checks: [wants('4601h')] },
    ],
    [
      'a signal that sounds a hundred times',
      /everything a hundred times/,
      true,
      {
        model: [' LD HL,4', ' LD DE,48', ' CALL BUZZ', ' HALT'],
        cases: ['{ id: one }'],
        checks: ['kind: speaker, frequency: 1000, frequencyWithin: 5 %'],
      },
    ],
    [
      'a routine of the firmware called twice for each key',
      /calls PAINT twice, where the model answer calls it once for each key/,
      false,
      {
        model: addingKeys.toSpliced(1, 0, ' PUSH AF', ' CALL PAINT', ' POP AF'),
        cases: [keysAndDigits('three', '1', '2', 'C')],
        checks: [wants('4600h')],
      },
    ],
    [
      'no key after those of the case',
      /no notice of any key after the first 3/,
      false,
      {
        model: addingKeys,
        cases: [keyCase('three', '1', '2', 'C').replace('given: {', "given: { memory: [{ at: 4600h, bytes: '00' }],")],
        checks: [wants('4600h')],
      },
    ],
    [
      'no round of a loop after those of the case',
      /loop that goes round no more often/,
      false,
      {
        model: summing,
        cases: ['{ id: few, given: { registers: { hl: 4600h, b: 3 }, memory: [{ at: 4600h, bytes: 01 02 03 }] } }'],
        checks: [wants('4700h')],
      },
    ],
    [
      'the first key lost',
      /no notice of the first key/,
      false,
      { model: keepingKey, cases: [keyCase('three', '1', '2', 'C')], checks: [wants('4600h')] },
    ],
    [
      'a key that should do nothing',
      /knows only the keys|key that no case presses does what another one does/,
      true,
      {
        model: [...pickyKeys, ' CP 10h', ' JR NC,SECOND', ' LD (4601h),A', ' HALT'],
        cases: [keyCase('two', '3', '4')],
        checks: [wants('4600h', 2)],
      },
    ],
    [
      'one byte of two compared',
      /compares only one byte of two/,
      true,
      {
        model: equalWords,
        cases: [
          '{ id: same, given: { registers: { hl: 1234h, de: 1234h } } }',
          '{ id: other, given: { registers: { hl: 1234h, de: 1334h } } }',
        ],
        checks: [wants('4700h')],
      },
    ],
    [
      'the low byte of a count behind a step of a block',
      /only at the low byte of a 16-bit count/,
      false,
      {
        model: steppingCopier,
        ends: 'return',
        cases: [copying('few', '4600h', 8)],
        checks: [wants('4680h', 16)],
      },
    ],
  ])('%s', (_, words, isSure, parts) => {
    const found = survivor(parts, words)
    expect(found?.isSure).toBe(isSure)
    if (found === undefined) return
    const after = survivor(mended(parts, found), words)
    expect(after?.details.includes(found.details[0] ?? '') ?? false).toBe(false)
    expect(after === undefined || after.count < found.count).toBe(true)
  })
})

test('columns of the keypad that no key of a case is in may be left out, until a case presses one there', () => {
  const model = ['SCAN: LD A,0FFh', ' OUT (21h),A', ' IN A,(23h)', ' AND 7', ' JR Z,SCAN', ' HALT']
  const parts = { model, cases: [keyCase('five', '5')], checks: ['kind: run-end'] }
  expect(survivor(parts, /scans only the 1 of 8 keypad columns/)?.isSure).toBe(false)
  const all = ['0', '1', '2', '3', '4', '5', '6', '7'].map((key) => keyCase(`key-${key}`, key))
  expect(survivor({ ...parts, cases: all }, /keypad columns/)).toBe(undefined)
})

test('rows of the keypad that no key of a case is in may be left out', () => {
  const model = ['SCAN: LD A,0FFh', ' OUT (21h),A', ' IN A,(23h)', ' AND 7', ' JR Z,SCAN', ' HALT']
  const parts = { model, cases: [keyCase('five', '5')], checks: ['kind: run-end'] }
  expect(survivor(parts, /only at the 1 of 3 keypad rows/)).toMatchObject({ kind: 'columns', isSure: false })
})

test('keys that must do nothing are proposed as idle keys, and calls as calls', () => {
  const model = [...pickyKeys, ' CP 10h', ' JR NC,SECOND', ' LD (4601h),A', ' HALT']
  const keys = { model, cases: [keyCase('two', '3', '4')], checks: [wants('4600h', 2)] }
  const idle = survivor(keys, /key that no case presses does what another one does/)
  expect(idle?.suggestion).toMatchObject({
    check: null,
    plainCase: { given: { idleKeys: expect.arrayContaining(['AT']) } },
  })
  const others = survivor({ ...keys, model: countingKey, checks: [wants('4600h')] }, /key that no case/)
  expect(others?.suggestion).toMatchObject({ plainCase: { given: { idleKeys: 'others' } } })
  const calls = { model: counting, ends: 'return' as const, cases: [memoryCase('one', '05')], checks: [wants('4600h')] }
  const again = survivor(calls, /called first/)
  expect(again?.suggestion).toMatchObject({ check: null, plainCase: { calls: [{ times: 2 }] } })
})

test('what shows only after one of several calls is proposed as a check after each of them', () => {
  const cases = [called('two', 2), memoryCase('one', '05')]
  const parts = { model: copyingByte, ends: 'return' as const, cases, checks: [`${wants('4601h')}, cases: [two]`] }
  const found = survivor(parts, /only when it has been called before/)
  expect(found?.suggestion.check).toMatchObject({ kind: 'memory' })
  expect(survivor(mended(parts, found as SurvivingStrategy), /only when it has been called before/)).toBe(undefined)
})

test('a call that is made once may be made twice: only the author knows', () => {
  const model = [' LD A,5', ' LD (4600h),A', ' CALL PAINT', ' HALT']
  const parts = {
    model,
    cases: ['{ id: one, given: { memory: [{ at: 4700h, bytes: 3F 06 5B 4F 66 6D 7D 07 }] } }'],
    checks: [wants('4600h')],
  }
  const found = survivor(parts, /calls PAINT twice/)
  expect(found?.isSure).toBe(false)
  expect(found?.suggestion.check).toMatchObject({ kind: 'calls-routine', routine: 'PAINT' })
})

test('a lone HALT that passes is a hole, whatever the input', () => {
  const parts = { model: adder, cases: [memoryCase('one', '05 07 0C')], checks: [wants('4602h')] }
  expect(survivor(parts, /does nothing/)).toMatchObject({ kind: 'nothing', isSure: true })
})

test('a result may come with the bytes only where the task lets them stand there', () => {
  const parts = { model: adder, cases: [memoryCase('one', '05 07')], checks: [wants('4602h')] }
  expect(survivor(parts, /in its bytes/)).toBe(undefined)
  const wide = { ...parts, ranges: '[{ from: 4000h, to: 47FFh }]' }
  expect(survivor(wide, /in its bytes/)).toMatchObject({ kind: 'stored', isSure: true })
})

describe('no false alarm', () => {
  test('a drawn input with its checks leaves nothing to tell', () => {
    const drawn = '{ id: drawn, visible: false, times: 8, draws: [{ at: 4600h, length: 2 }] }'
    const { total, survivors } = strategiesOn({
      model: adder,
      cases: [memoryCase('one', '05 07'), drawn],
      checks: [wants('4602h')],
    })
    expect(survivors).toEqual([])
    expect(total.tried).toBe(total.same + total.caught)
  })
  test('a key that no case presses is a question where it stands in place of one that the program waits for', () => {
    const parts = { model: byteKey, cases: [keyCase('one', '3')], checks: [wants('4600h')] }
    const found = strategiesOn(parts).survivors.filter(({ words }) => words.includes('key that no case presses'))
    expect(found.map(({ isSure }) => isSure)).toEqual([false])
  })
  test('a handler whose address stands in memory is the same one wherever it stands', () => {
    const model = [' LD HL,TICK', ' LD (4710h),HL', ' EI', 'WAIT: LD A,(4600h)', ' CP 3', ' JR C,WAIT', ' DI', ' HALT']
    const handler = ['TICK: PUSH AF', ' PUSH HL', ' LD HL,4600h', ' INC (HL)', ' POP HL', ' POP AF', ' EI', ' RET']
    const cases = ["{ id: ticks, given: { timer: true, memory: [{ at: 4600h, bytes: '00' }] } }"]
    const { survivors } = strategiesOn({ model: [...model, ...handler], cases, checks: [wants('4600h')] })
    expect(survivors.filter(({ suggestion }) => suggestion.words.includes('4710h'))).toEqual([])
  })
})

test('the same exercise gives the same result, whatever was probed before', () => {
  const parts = {
    model: smaller,
    cases: [memoryCase('small', '05 09'), memoryCase('large', 'C8 FA')],
    checks: [wants('4602h')],
  }
  expect(JSON.stringify(strategiesOn(parts))).toBe(JSON.stringify(strategiesOn(parts)))
})
