import { optional, required, whole } from '../schema/index.ts'
import { imageSize, showCount } from '../../image/index.ts'
import { checkKind, orOfCase, outOfTolerance, passed } from './check.ts'

export const size = checkKind({
  name: 'size',
  category: 'size of the program',
  about: 'The program is not longer than a number of bytes.',
  example: ['max: 24'],
  fields: {
    max: required(orOfCase(whole(1, 65536)), 'Most bytes allowed.'),
    min: optional(orOfCase(whole(0, 65536)), 'Fewest bytes allowed.', 0),
  },
  needsEnd: false,
  needsRun: false,
  describe: (check) =>
    check.min > 0 ? `${check.min} to ${showCount(check.max, 'byte')}` : `at most ${showCount(check.max, 'byte')}`,
  evaluate(check, run) {
    const bytes = imageSize(run.program.image)
    const measured = showCount(bytes, 'byte')
    const wanted =
      check.min > 0 ? `${check.min} to ${showCount(check.max, 'byte')}` : `at most ${showCount(check.max, 'byte')}`
    const at = { t: 0, address: run.program.entry, step: 0 }
    if (bytes <= check.max && bytes >= check.min) return passed(measured, wanted, null, at)
    const message =
      bytes > check.max
        ? `The program has ${measured}, ${bytes - check.max} more than allowed.`
        : `The program has ${measured}, ${check.min - bytes} fewer than asked for.`
    return outOfTolerance(measured, wanted, null, message, at)
  },
})
