import { showWord } from '../../image/index.ts'
import { endOf } from '../case-run.ts'
import { required, text } from '../schema/index.ts'
import { checkKind, failed, passed } from './check.ts'
import { firstCall, routineNamed, unknownRoutines } from './routine-calls.ts'

export const callsRoutine = checkKind({
  name: 'calls-routine',
  category: 'firmware routines asked for',
  about: 'The program calls a routine of the firmware.',
  example: ['routine: PAINT'],
  fields: { routine: required(text(1, 16), "The routine's name on the board.") },
  needsEnd: false,
  cost: 3,
  needsRecording: true,
  misfits: (check, profile) => unknownRoutines(profile, [check.routine]),
  describe: (check) => `${check.routine} is called`,
  evaluate(check, run) {
    const routine = routineNamed(run.profile, check.routine)
    const at = routine === undefined ? null : firstCall(run, [routine.address])
    const wanted = `a call of ${check.routine}`
    if (at !== null) return passed(`${check.routine} called at ${showWord(at.address)}`, wanted, null, at)
    const where = routine === undefined ? '' : ` (${showWord(routine.address)})`
    return failed('no call', wanted, `The program never calls ${check.routine}${where}.`, endOf(run))
  },
})
