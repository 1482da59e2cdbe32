import { afterEach, describe, expect, test, vi } from 'vitest'
import type { ProbeResult } from '../../../core/diagnosis/index.ts'
import { CommandProblem } from '../../../server/commands/output.ts'
import { probeCommand } from '../../../server/commands/probe.ts'

afterEach(() => vi.restoreAllMocks())

/** Exit code and standard output of the command. */
function probed(named: string, options: Parameters<typeof probeCommand>[1]): { code: number; out: string } {
  let out = ''
  vi.spyOn(process.stdout, 'write').mockImplementation((text) => {
    out += String(text)
    return true
  })
  return { code: probeCommand(named, options), out }
}

describe('hexcairn probe', () => {
  test('prints score and tables, and ends with 0 where 98 % are caught', () => {
    const { code, out } = probed('A4', { most: '40', seed: '3' })
    expect(code).toBe(0)
    expect(out).toMatch(/^A4 Carry the fare: 100 % of mistakes caught\n40 mutants of the model answer, a sample of/)
    expect(out).toMatch(/^check +kind +tried +caught +survived +alone$/m)
    expect(out).toMatch(/^sum +memory +\d+ +\d+ +\d+ +\d+$/m)
  })
  test('prints one JSON document and nothing else', () => {
    const { out } = probed('A2', { most: '20', json: true })
    const result = JSON.parse(out) as ProbeResult
    expect(result).toMatchObject({ exercise: { id: 'A2' }, seed: 0, total: { tried: 20 } })
  })
  test.each([
    ['an exercise that is not there', 'Z9', {}, 'exercise-not-found'],
    ['a seed that is no number', 'A2', { seed: 'x' }, 'bad-number'],
    ['no mutants at all', 'A2', { most: '0' }, 'bad-number'],
  ])('%s is bad input', (_, named, options, code) => {
    expect(() => probeCommand(named, options)).toThrow(expect.objectContaining({ code }) as CommandProblem)
    expect(() => probeCommand(named, options)).toThrow(CommandProblem)
  })
})
