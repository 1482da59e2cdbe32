import { endOf } from '../case-run.ts'
import { choice, list, optional } from '../schema/index.ts'
import { showWord } from '../../image/index.ts'
import { andList, orList } from '../words.ts'
import { checkKind, failed, passed } from './check.ts'
import { firstExecuted, firstWritten, pattern } from './instruction-patterns.ts'

export const requiredInstruction = checkKind({
  name: 'required-instruction',
  category: 'instructions asked for',
  about: 'The program uses certain instructions.',
  example: ['any: [LDIR, DJNZ]'],
  fields: {
    any: optional(list(pattern, 1, 32), 'At least one of these.', null),
    all: optional(list(pattern, 1, 32), 'Every one of these.', null),
    how: optional(
      choice(['executed', 'written']),
      'Whether the run must come to it, or it must stand in the listing.',
      'executed' as const,
    ),
  },
  needsEnd: false,
  cost: 2,
  misfits: (check) => (check.any === null && check.all === null ? ['needs any or all'] : []),
  describe: (check) =>
    [check.any === null ? '' : orList(check.any), check.all === null ? '' : andList(check.all)]
      .filter((part) => part !== '')
      .join('; ') + (check.how === 'executed' ? ' is executed' : ' stands in the listing'),
  evaluate(check, run) {
    const find = check.how === 'executed' ? firstExecuted : firstWritten
    const demands = [...(check.any === null ? [] : [check.any]), ...(check.all ?? []).map((each) => [each])]
    const wanted = `${demands.map(orList).join(', ')} ${check.how}`
    const found: string[] = []
    for (const demand of demands) {
      const at = find(run, demand)
      if (at === null) {
        const message = `${orList(demand)} was asked for and ${check.how === 'executed' ? 'never executed' : 'is not in the listing'}.`
        return failed(`no ${orList(demand)} ${check.how}`, wanted, message, endOf(run))
      }
      found.push(`${orList(demand)} at ${showWord(at.address)}`)
    }
    return passed(found.join(', '), wanted, null, endOf(run))
  },
})
