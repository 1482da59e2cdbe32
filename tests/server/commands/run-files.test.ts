import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { hexcairn } from './hexcairn.ts'

const folder = mkdtempSync(join(tmpdir(), 'hexcairn-files-'))
afterAll(() => rmSync(folder, { recursive: true }))
const file = (name: string): string => join(folder, name)

// Half a period is 7 + 11 + 7 + 13·(94 − 1) + 8 + 7 + 12 T, so 997 Hz at 2.5 MHz (UM0080's T-states).
const bell = ' LD A,0\nBELL: XOR 1\n OUT (22h),A\n LD B,94\nWAIT: DJNZ WAIT\n JR BELL\n'

describe('hexcairn run writes files for other tools', () => {
  test('lanes, sound, steps and a session that runs again to the same end', () => {
    const session = file('bell.hexcairn.json')
    const words = [
      '--vcd',
      file('bell.vcd'),
      '--wav',
      file('bell.wav'),
      '--steps',
      file('bell.csv'),
      '--session',
      session,
    ]
    const first = hexcairn(['run', '-', '--t-states', '100000', ...words], bell)
    expect(first).toMatchObject({ code: 0, err: '' })
    expect(first.out).toContain(`lanes: ${file('bell.vcd')}`)
    expect(readFileSync(file('bell.vcd'), 'utf8')).toContain('$enddefinitions $end')
    expect(readFileSync(file('bell.wav')).subarray(0, 4).toString()).toBe('RIFF')
    const rows = readFileSync(file('bell.csv'), 'utf8').trimEnd().split('\r\n')
    const json = JSON.parse(hexcairn(['run', session, '--json']).out)
    expect(rows).toHaveLength(1 + json.steps)
    expect(json).toMatchObject({ end: { kind: 'budget-used-up' } })
    expect(JSON.parse(hexcairn(['run', '-', '--t-states', '100000', '--json'], bell).out)).toEqual(json)
  })

  test('a session that is none is told where it is wrong', () => {
    writeFileSync(file('odd.hexcairn.json'), '{"format": "hexcairn-session/1", "title": 7}')
    const { code, err } = hexcairn(['run', file('odd.hexcairn.json')])
    expect(code).toBe(2)
    expect(err).toContain('title')
  })

  test('a table of too many steps is refused before anything is written', () => {
    // 8 · 65,536 rounds of four instructions.
    const long = ' LD D,8\nOUTER: LD BC,0\nINNER: DEC BC\n LD A,B\n OR C\n JR NZ,INNER\n DEC D\n JR NZ,OUTER\n HALT\n'
    const { code, err } = hexcairn(['run', '-', '--steps', file('much.csv')], long)
    expect(code).toBe(2)
    expect(err).toContain('at most 1000000')
    expect(existsSync(file('much.csv'))).toBe(false)
  })
})
