import { showWord } from '../../image/index.ts'
import { endOf } from '../case-run.ts'
import { flag, list, optional, text } from '../schema/index.ts'
import { orList } from '../words.ts'
import { checkKind, failed, passed } from './check.ts'
import { firstCall, firstRomCall, routineNamed, unknownRoutines } from './routine-calls.ts'

export const forbiddenRoutine = checkKind({
  name: 'forbidden-routine',
  category: 'firmware routines ruled out',
  about: 'The program does without certain routines of the firmware, or without the firmware.',
  example: ['routines: [WAITMS, BUZZ]'],
  fields: {
    routines: optional(list(text(1, 16), 1, 32), 'Routines that may not be called.', null),
    all: optional(flag, 'No instruction of the firmware may run at all.', false),
  },
  needsEnd: false,
  isOfPath: true,
  cost: 2,
  needsRecording: () => true,
  misfits: (check, profile) =>
    check.routines === null && !check.all ? ['needs routines or all'] : unknownRoutines(profile, check.routines ?? []),
  describe: (check) => (check.all ? 'no call of the firmware' : `no call of ${orList(check.routines ?? [])}`),
  evaluate(check, run) {
    const names = check.routines ?? []
    const addresses = names.map((name) => routineNamed(run.profile, name)?.address).filter((each) => each !== undefined)
    const at = check.all ? firstRomCall(run) : firstCall(run, addresses)
    const wanted = check.all ? 'no call of the firmware' : `no call of ${orList(names)}`
    if (at === null) return passed(wanted, wanted, null, endOf(run))
    const what = check.all ? 'the firmware' : orList(names)
    const message = `The task rules out ${what}, but the program goes there from ${showWord(at.address)}.`
    return failed(`called from ${showWord(at.address)}`, wanted, message, at)
  },
})
