import { endOf, momentWords } from '../case-run.ts'
import { dictionary, required, whole } from '../schema/index.ts'
import { checkKind, failed, orModel, passed, withParts } from './check.ts'
import { lastChangeOf } from './registers.ts'

/** Bits of F by the manual's names; y and x are the undocumented bits 5 and 3. */
const flagBits: Readonly<Record<string, number>> = { s: 7, z: 6, y: 5, h: 4, x: 3, pv: 2, n: 1, c: 0 }

function flagText(flag: string, value: number): string {
  return `${flag === 'pv' ? 'P/V' : flag.toUpperCase()} = ${value}`
}

export const flags = checkKind({
  name: 'flags',
  category: 'flags at the end',
  about: 'Flags are set or reset at the end of the run.',
  example: ['want: { c: 1, z: 0 }'],
  fields: {
    want: required(
      dictionary(/^(s|z|y|h|x|pv|n|c)$/, 's, z, y, h, x, pv, n, c', orModel(whole(0, 1)), Object.keys(flagBits)),
      'Each flag with 1, 0 or `model`.',
    ),
  },
  needsEnd: true,
  isOfMoment: true,
  part: 'flag',
  needsModel: (check) => Object.values(check.want).includes('model'),
  describe: (check) =>
    Object.entries(check.want)
      .map(([flag, value]) =>
        value === 'model' ? `${flag.toUpperCase()} as in the model answer` : flagText(flag, value),
      )
      .join(', '),
  wants: (check, _profile, model) =>
    Object.entries(check.want).flatMap(([flag, value]) => {
      const mask = 1 << (flagBits[flag] ?? 0)
      const result = value === 'model' ? model() : null
      if (value === 'model' && result === null) return []
      const wanted = value === 'model' ? (result?.registers.af ?? 0) : value === 0 ? 0 : mask
      return [
        {
          place: { kind: 'register' as const, register: 'f' as const },
          isOne: true,
          isRight: ({ registers }) => ((registers.af ^ wanted) & mask) === 0,
        },
      ]
    }),
  mayBeChance: (check, _run, use) => Object.keys(check.want).some((flag) => use.isUndefined(flagBits[flag] ?? 0)),
  evaluate(check, run) {
    const bitOf = (af: number, flag: string): number => (af >> (flagBits[flag] ?? 0)) & 1
    const rows = Object.entries(check.want).map(([flag, value]) => ({
      flag,
      found: bitOf(run.result.registers.af, flag),
      wanted: value === 'model' ? bitOf(run.model()?.registers.af ?? 0, flag) : value,
    }))
    const measured = rows.map((row) => flagText(row.flag, row.found)).join(', ')
    const wanted = rows.map((row) => flagText(row.flag, row.wanted)).join(', ')
    const wrong = rows.find((row) => row.found !== row.wanted)
    const right = rows.filter((row) => row.found === row.wanted).length
    if (wrong === undefined) return withParts(passed(measured, wanted, null, endOf(run)), right, rows.length)
    const message = `${momentWords(run).lead} flag ${flagText(wrong.flag, wrong.found)}; wanted ${flagText(wrong.flag, wrong.wanted)}.`
    return withParts(failed(measured, wanted, message, lastChangeOf(run, 'f')), right, rows.length)
  },
})
