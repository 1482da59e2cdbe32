import { notesOf, silenceBetween, type Note } from '../../board/index.ts'
import { showCount } from '../../image/index.ts'
import { endOf, type CaseRun } from '../case-run.ts'
import { toleranceText, tStatesOf } from '../schema/index.ts'
import { figureText, milliseconds } from '../words.ts'
import { checkKind, failed, outOfTolerance, passed, type Parts, type Verdict } from './check.ts'
import { describeTones, toneFields, toneMisfits, type WantedTones } from './tone-fields.ts'
import { edgeAt, Tones } from './tone-figures.ts'

/** The notes of a part of the run; a single click is no note. */
function notesHeard(check: WantedTones, run: CaseRun): readonly Note[] {
  const { clockHz } = run.profile
  const from = check.from === null ? 0 : tStatesOf(check.from, clockHz)
  const to = check.to === null ? run.result.tStates + 1 : tStatesOf(check.to, clockHz)
  return notesOf(run.result.events, run.profile, { from, to }).filter((note) => note.edges > 1)
}

/** Notes told in full: of more the first ones and the last. */
const mostTold = 16

/** `2 tones: 440, 880 Hz`; where lengths or silences are asked for, with these. */
function heardText(check: WantedTones, run: CaseRun, notes: readonly Note[]): string {
  if (notes.length === 0) return 'silence'
  const isTimed = check.lengths !== null || check.pauses !== null
  const listed = notes.map((note, i) => {
    const hz = figureText(note.frequencyHz ?? 0)
    return isTimed ? timedText(run, notes[i - 1], note, hz) : hz
  })
  const shown = listed.length > mostTold ? [...listed.slice(0, mostTold - 1), '…', ...listed.slice(-1)] : listed
  return `${showCount(notes.length, 'tone')}: ${shown.join(', ')}${isTimed ? '' : ' Hz'}`
}

function timedText({ profile }: CaseRun, before: Note | undefined, note: Note, hz: string): string {
  const time = (tStates: number): string => milliseconds(tStates, profile.clockHz)
  const silence = before === undefined ? 0 : silenceBetween(before, note, profile)
  const pause = silence === 0 ? '' : `${time(silence)} of silence, `
  return `${pause}${hz} Hz for ${time(note.durationTStates)}`
}

export const tonesInTurn = checkKind({
  name: 'tones-in-turn',
  category: 'tones in turn',
  about:
    'The speaker gives several tones one after the other: a siren, a tune, a bell at given times. A change of pitch of more than 2 % that lasts, or a silence, begins another; a late edge or a tick of the timer does not.',
  example: [
    'frequencies: [440, 494, 523]',
    'lengths: [200 ms, 200 ms, 400 ms]',
    'pauses: [50 ms, any]',
    'pausesWithin: 5 ms',
    'order: rising',
  ],
  fields: toneFields,
  needsEnd: false,
  part: 'tone',
  cost: 1,
  misfits: toneMisfits,
  describe: describeTones,
  evaluate(check, run): Verdict {
    const notes = notesHeard(check, run)
    const tones = new Tones(check, run, notes)
    const wanted = describeTones(check, run.profile)
    const measured = heardText(check, run, notes)
    const count = check.frequencies.length
    const parts = (): Parts => tones.parts()
    for (let i = 0; i < Math.min(count, notes.length); i++) {
      const fault = tones.faultAt(i)
      if (fault === null) continue
      return { ...outOfTolerance(measured, wanted, fault.tolerance, fault.message, fault.at), parts }
    }
    if (notes.length < count) {
      const heard = notes.length === 0 ? 'no tone' : `only ${showCount(notes.length, 'tone')}`
      const last = notes.at(-1)
      const at = last === undefined ? endOf(run) : edgeAt(run, last.to)
      return { ...failed(measured, wanted, `The speaker gave ${heard}; wanted ${count}.`, at), parts }
    }
    const extra = notes[count]
    if (extra !== undefined && check.rest === 'none') {
      const found = `After the ${count === 1 ? 'tone' : `${count} tones`} came another of ${figureText(extra.frequencyHz ?? 0)} Hz`
      return { ...failed(measured, wanted, `${found}; wanted none.`, edgeAt(run, extra.from)), parts }
    }
    return { ...passed(measured, wanted, toleranceText(check.frequencyWithin), endOf(run)), parts }
  },
})
