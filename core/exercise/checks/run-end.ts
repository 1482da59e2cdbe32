import { endOf } from '../case-run.ts'
import { optional, word } from '../schema/index.ts'
import { showWord } from '../../image/index.ts'
import { checkKind, failed, orOfCase, passed } from './check.ts'
import { endText } from './end-text.ts'

export const runEnd = checkKind({
  name: 'run-end',
  category: 'how the run ends',
  about: 'The program ends as the exercise asks: with HALT, or with RET to its caller.',
  example: ['at: 4007h'],
  fields: { at: optional(orOfCase(word), 'Address of the instruction that must end it.', null, 'anywhere') },
  needsEnd: false,
  isOfPath: true,
  describe: (check) => `the run ends as asked${check.at === null ? '' : ` at ${showWord(check.at)}`}`,
  evaluate(check, run) {
    const { end, lastPc } = run.result
    const kind = run.request.ends === 'halt' ? 'halted' : 'returned'
    const place = check.at === null ? '' : ` at ${showWord(check.at)}`
    const wanted = `${kind === 'halted' ? 'HALT' : 'RET to the caller'}${place}`
    const measured = endText(end, lastPc, run.profile)
    if (end.kind === kind && (check.at === null || check.at === lastPc))
      return passed(measured, wanted, null, endOf(run))
    return failed(measured, wanted, `The run ended otherwise: ${measured}; wanted ${wanted}.`, endOf(run))
  },
})
