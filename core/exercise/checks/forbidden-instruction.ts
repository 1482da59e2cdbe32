import { showWord } from '../../image/index.ts'
import { endOf } from '../case-run.ts'
import { choice, list, optional, required } from '../schema/index.ts'
import { orList } from '../words.ts'
import { checkKind, failed, passed } from './check.ts'
import { firstExecuted, firstWritten, pattern } from './instruction-patterns.ts'

export const forbiddenInstruction = checkKind({
  name: 'forbidden-instruction',
  category: 'instructions ruled out',
  about: 'The program does without certain instructions.',
  example: ["none: [JP, 'LD A,(HL)']"],
  fields: {
    none: required(list(pattern, 1, 32), 'Instructions that may not be used.'),
    how: optional(choice(['executed', 'written']), 'Whether executing it counts, or writing it.', 'executed' as const),
  },
  needsEnd: false,
  isOfPath: true,
  cost: 2,
  describe: (check) => `no ${orList(check.none)} is ${check.how}`,
  evaluate(check, run) {
    const at = (check.how === 'executed' ? firstExecuted : firstWritten)(run, check.none)
    const wanted = `no ${orList(check.none)} ${check.how}`
    if (at === null) return passed(wanted, wanted, null, endOf(run))
    const message = `${orList(check.none)} is ruled out, but one is ${check.how} at ${showWord(at.address)}.`
    return failed(`one ${check.how} at ${showWord(at.address)}`, wanted, message, at)
  },
})
