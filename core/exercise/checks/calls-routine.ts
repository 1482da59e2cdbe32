import { showCount, showWord } from '../../image/index.ts'
import { endOf } from '../case-run.ts'
import { optional, required, text, whole, type ReadFields } from '../schema/index.ts'
import { countText } from '../words.ts'
import { checkKind, failed, orOfCase, passed } from './check.ts'
import { callsOf, firstCall, routineNamed, unknownRoutines } from './routine-calls.ts'

const count = orOfCase(whole(0, 100_000))

const fields = {
  routine: required(text(1, 16), "The routine's name on the board."),
  exactly: optional(count, 'How many times the program calls it, no more and no fewer.', null, 'at least once'),
  atLeast: optional(count, 'Fewest calls.', null, 'once'),
  atMost: optional(count, 'Most calls.', null, 'any'),
}

type Wants = ReadFields<typeof fields>

function limits({ exactly, atLeast, atMost }: Wants): { readonly least: number; readonly most: number } {
  return exactly === null
    ? { least: atLeast ?? (atMost === null ? 1 : 0), most: atMost ?? Infinity }
    : { least: exactly, most: exactly }
}

function isCounted({ exactly, atLeast, atMost }: Wants): boolean {
  return exactly !== null || atLeast !== null || atMost !== null
}

function wantedText(check: Wants): string {
  const { least, most } = limits(check)
  const calls = (value: number): string => `${countText(value)} ${value === 1 ? 'call' : 'calls'} of ${check.routine}`
  if (!isCounted(check)) return `a call of ${check.routine}`
  if (least === most) return least === 0 ? `no call of ${check.routine}` : `exactly ${calls(least)}`
  if (most === Infinity) return `at least ${calls(least)}`
  return least === 0 ? `at most ${calls(most)}` : `${countText(least)} to ${calls(most)}`
}

function misfits(check: Wants, names: readonly string[]): readonly string[] {
  const { exactly, atLeast, atMost } = check
  const isBoth = exactly !== null && (atLeast !== null || atMost !== null)
  const { least, most } = limits(check)
  return [
    ...names,
    ...(isBoth ? ['found exactly beside atLeast or atMost, allowed one way of counting'] : []),
    ...(least > most ? [`found at least ${least} and at most ${most}, allowed atLeast not above atMost`] : []),
  ]
}

export const callsRoutine = checkKind({
  name: 'calls-routine',
  category: 'firmware routines asked for',
  about:
    'The program calls a routine of the firmware: at all, or so many times. Calls that the firmware makes itself do not count.',
  example: ['routine: PAINT', 'exactly: 1'],
  fields,
  needsEnd: false,
  cost: 3,
  needsRecording: () => true,
  misfits: (check, profile) => misfits(check, unknownRoutines(profile, [check.routine])),
  describe: (check) => (isCounted(check) ? wantedText(check) : `${check.routine} is called`),
  evaluate(check, run) {
    const routine = routineNamed(run.profile, check.routine)
    const address = routine?.address ?? 0
    const wanted = wantedText(check)
    const { least, most } = limits(check)
    const where = ` (${showWord(address)})`
    if (!isCounted(check)) {
      const at = firstCall(run, [address])
      if (at !== null) return passed(`${check.routine} called at ${showWord(at.address)}`, wanted, null, at)
      return failed('no call', wanted, `The program never calls ${check.routine}${where}.`, endOf(run))
    }
    const calls = callsOf(run, address)
    const found = calls.length
    const measured = found === 0 ? 'no call' : showCount(found, 'call')
    if (found >= least && found <= most) return passed(measured, wanted, null, calls.at(-1) ?? endOf(run))
    const said = found === 0 ? 'never calls' : `calls`
    const times = found === 0 ? '' : found === 1 ? ' once' : ` ${countText(found)} times`
    const message = `The program ${said} ${check.routine}${where}${times}; wanted ${wanted}.`
    return failed(measured, wanted, message, (found > most ? calls[most] : calls.at(-1)) ?? endOf(run))
  },
})
