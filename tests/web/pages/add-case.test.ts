import { expect, test } from 'vitest'
import { parse } from 'yaml'
import { addCase, caseText } from '../../../web/pages/exercise-editor/add-case.ts'

const document = `# Kept.
groups:
  - { id: function, title: What it does, marks: 100 }
cases:
  - { id: small, title: Small } # and this
checks:
  - { id: sum, kind: memory, title: The sum, group: function }
`
const probed = { id: 'small', title: 'FFh + 01h', given: { memory: [{ at: '4600h', bytes: 'FF 01' }] } }
const check = { kind: 'memory', want: [{ at: '4602h', bytes: 'model', length: 2 }] }

test('a case goes to the end of the cases under a free id, and a check that looks at it alone', () => {
  const text = addCase(document, probed, check, 'With FFh the carry is lost.') ?? ''
  expect(text).toContain('# Kept.')
  expect(text).toContain('# and this')
  expect(parse(text)).toMatchObject({
    cases: [{ id: 'small' }, { ...probed, id: 'small-2' }],
    checks: [
      { id: 'sum' },
      { ...check, id: 'memory', group: 'function', cases: ['small-2'], title: 'With FFh the carry is lost' },
    ],
  })
})

test('without a check the case is added alone; where there is no list yet, one is begun', () => {
  expect(parse(addCase('title: T\n', probed, null, '') ?? '')).toEqual({ title: 'T', cases: [probed] })
})

test('what is no document is left alone', () => {
  for (const text of ['', 'cases: 7\n', 'cases: [']) expect(addCase(text, probed, null, '')).toBeNull()
})

test('it is shown as it will stand there', () => {
  expect(caseText(probed)).toMatch(/^- id: small\n {2}title: FFh \+ 01h\n {2}given:/)
  expect(parse(caseText(probed))).toEqual([probed])
})
