import { expect, test } from 'vitest'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise, studentView } from '../../../core/exercise/index.ts'
import { caseFacts, givenFacts } from '../../../web/pages/exercise/given.ts'

function factsOf(given: object, cases: readonly object[] = [{ id: 'one' }]) {
  const parsed = parseExercise({
    ...{ format: 'hexcairn-exercise/1', id: 'T1', title: 'A test', board: 'bench-8', brief: 'Try it.' },
    ...{ program: { ends: 'return' }, given, cases, groups: [{ id: 'g', title: 'G', marks: 100 }] },
    checks: [{ id: 'ends', kind: 'run-end', title: 'E', group: 'g' }],
  })
  if (!parsed.isOk) throw new Error(JSON.stringify(parsed.problems))
  const view = studentView(parsed.exercise, benchEight)
  const lines = (facts: readonly { name: string; value: string }[]) =>
    facts.map(({ name, value }) => `${name}: ${value}`)
  return {
    all: lines(givenFacts(view.given, benchEight)),
    first: view.cases[0] === undefined ? [] : lines(caseFacts(view.cases[0], benchEight)),
  }
}

test('switches: which are on at the start, which are moved when, which must change nothing', () => {
  const { all } = factsOf({
    switches: 3,
    switchMoves: [
      { at: '200 ms', to: '83h' },
      { at: '1 s', to: '08h' },
    ],
    idleSwitches: [4, 5],
  })
  expect(all).toEqual([
    'Switches: 1 and 0 on at the start',
    'Switches move: 200 ms: 7 on; 1 s: 7, 1 and 0 off, 3 on',
    'Switches to ignore: 4 5: moved too, and nothing may change',
  ])
  expect(factsOf({ switchMoves: [{ at: '1 s', to: 0 }] }).all).toEqual([
    'Switches: all off at the start',
    'Switches move: 1 s: as before',
  ])
})

test('keys that must change nothing are named, those of a hidden case are not among them', () => {
  const key = (name: string) => ({ keys: [{ key: name, at: '5 s', for: '60 ms' }] })
  const { all } = factsOf({ idleKeys: 'others' }, [
    { id: 'one', given: key('0') },
    { id: 'two', visible: false, given: key('STOP') },
  ])
  expect(all).toHaveLength(1)
  expect(all[0]).toMatch(/^Keys to ignore: 8 AT 1 .*7 F: pressed too, and nothing may change$/)
})

test('calls: how many, where the caller stands, what each is given and what is drawn for it', () => {
  const { first } = factsOf({}, [
    {
      id: 'sums',
      draws: [{ register: 'hl', from: '4600h', to: '46F0h' }],
      calls: [
        {
          registers: { a: 1 },
          draws: [
            { register: 'b', from: 1, to: 60 },
            { at: '4600h', length: 8, to: 9 },
          ],
          times: 3,
        },
        { registers: { b: 9 }, memory: [{ at: '4600h', bytes: '07' }] },
        {},
      ],
    },
  ])
  expect(first).toEqual([
    'Drawn: HL from 4600h to 46F0h',
    expect.stringMatching(
      /^Called: 5 calls in one run, by a program at 4[0-9A-F]{3}h to 45FFh: keep your bytes out of there$/,
    ),
    'Calls 1 to 3: A = 01h; drawn: B from 01h to 3Ch, 8 bytes at 4600h, each from 00h to 09h',
    'Call 4: B = 09h; 4600h = 07',
    'Call 5: nothing given',
  ])
})
