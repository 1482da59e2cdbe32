import { glyphOf } from '../../board/index.ts'
import { showCount, showWord } from '../../image/index.ts'
import type { Stage } from '../../trial/index.ts'
import { flagBits, type Difference } from './behaviour.ts'

/** What would find a surviving mutant, as it would stand in the document. */
export interface Suggestion {
  /** `kind` and the fields of that kind; null where no kind of check looks there, or those of the exercise find it on the case. */
  readonly check: Readonly<Record<string, unknown>> | null
  /** The case on which it finds it. */
  readonly caseId: string
  /** It shows with other drawn values only: more runs of the case find it, another check need not. */
  readonly needsRuns: boolean
  /** A case with the input that shows it, as it would stand in the document; null where the exercise has one. */
  readonly plainCase: Readonly<Record<string, unknown>> | null
  /** A sentence for the exercise's author. */
  readonly words: string
  /** What the check is called where it is put into the document; empty without one. */
  readonly title: string
  /** Case and check have been added to the exercise, and stop the program. */
  readonly isTried: boolean
}

/** What a mutant does otherwise, and where. */
export interface Found {
  readonly difference: Difference
  readonly caseId: string
  readonly title: string
  /** It shows only with other values than those that hand-ins are graded with. */
  readonly isDrawnAnew: boolean
  /** The run that shows it. */
  readonly stage: Stage
}

/** The check that would find the difference. `memory` stands for bytes, so that the check says what the model leaves. */
export function suggestionFor({ difference, caseId, title: on, isDrawnAnew }: Found): Suggestion {
  const { check, what, title } = checkFor(difference)
  const runs = isDrawnAnew ? ' It shows only with other drawn values: give the case more runs.' : ''
  const words = `On ${on} ${what}.${runs}`
  return { check, caseId, needsRuns: isDrawnAnew, plainCase: null, words, title, isTried: false }
}

interface ProposedCheck extends Pick<Suggestion, 'check' | 'title'> {
  /** `A ends with another value`. */
  readonly what: string
}

/** The check that finds a difference, and what a reader is told of it. */
export function checkFor(difference: Difference): ProposedCheck {
  switch (difference.kind) {
    case 'end':
      return {
        check: { kind: 'run-end' },
        what: `the run ends otherwise (${difference.found})`,
        title: 'The program ends',
      }
    case 'memory': {
      const { at, length, isLeftAlone } = difference
      const where = `${showCount(length, 'byte')} from ${showWord(at)} on`
      return isLeftAlone
        ? {
            check: { kind: 'memory', elsewhere: 'unchanged' },
            what: `${where} should have been left alone`,
            title: 'All other memory as it was',
          }
        : {
            check: { kind: 'memory', want: [{ at: showWord(at), bytes: 'model', length }] },
            what: `${where} ${length === 1 ? 'holds' : 'hold'} something else`,
            title: `What stands at ${showWord(at)}`,
          }
    }
    case 'register': {
      const { register } = difference
      const what = `${register.toUpperCase()} ends with another value`
      return register === 'sp'
        ? { check: { kind: 'stack-balance' }, what, title: 'The stack as it was' }
        : register === 'f'
          ? {
              check: { kind: 'flags', want: flagsIn(difference.wanted ^ difference.found) },
              what,
              title: 'The flags at the end',
            }
          : {
              check: { kind: 'registers', want: { [register]: 'model' } },
              what,
              title: `${register.toUpperCase()} at the end`,
            }
    }
    case 'digits': {
      const { digit, sign, wanted, found } = difference
      const what = `digit ${digit + 1} shows ${patterns(found)}, not ${patterns(wanted)}`
      return { check: { kind: 'digits-seen', glyphs: sign, state: 'any' }, what, title: 'What the digits show' }
    }
    case 'dark': {
      const { sign, wanted } = difference
      const what = wanted ? 'a digit is left lit' : 'the display is left dark'
      const title = 'The display at the end'
      return { check: { kind: 'digits-seen', glyphs: sign, state: 'any', darkAtEnd: wanted }, what, title }
    }
    case 'speaker':
      return {
        check: { kind: 'speaker', edges: difference.wanted },
        what: `the cone moves ${difference.found} times, not ${difference.wanted}`,
        title: 'How often the cone moves',
      }
    case 'speaker-level':
      return {
        check: { kind: 'speaker', endLevel: difference.wanted },
        what: 'the speaker is left at the other level',
        title: 'Where the speaker is left',
      }
    case 'speaker-time':
      return {
        check: { kind: 'speaker', duration: `${difference.wanted} T` },
        what: `the sound lasts ${difference.found} T, not ${difference.wanted} T`,
        title: 'How long it sounds',
      }
    case 'lamps':
      return { check: null, what: 'the lamps show something else', title: '' }
  }
}

function flagsIn(bits: number): Readonly<Record<string, 'model'>> {
  const names = Object.entries(flagBits).filter(([, bit]) => (bits & bit) !== 0)
  return Object.fromEntries(names.map(([name]) => [name, 'model']))
}

function patterns(seen: string): string {
  const glyphs = seen
    .split(' ')
    .map((hex) => (hex === '' || hex === '00' ? 'nothing' : glyphOf(Number.parseInt(hex, 16))))
  return glyphs.slice(0, 8).join(', ') + (glyphs.length > 8 ? ' …' : '')
}
