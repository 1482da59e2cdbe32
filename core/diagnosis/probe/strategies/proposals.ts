import { withMore, type Exercise } from '../../../exercise/index.ts'
import type { Image } from '../../../image/index.ts'
import type { Difference } from '../behaviour.ts'
import type { Excuses, Prober, Telling } from '../fate.ts'
import { checkFor, suggestionFor, type Found, type Suggestion } from '../suggestion.ts'
import { caseWith, plainCase } from './inputs.ts'
import type { ProbingInput } from './probing-inputs.ts'

type Plain = Readonly<Record<string, unknown>>
type Proposed = Pick<Suggestion, 'check' | 'title'>

/** A program that gets full marks, and what it is to be stopped by. */
export interface Stopped {
  readonly image: Image
  readonly excuses: Excuses | undefined
  /** The case is kept from students. */
  readonly isHidden: boolean
}

interface Candidate {
  readonly case: Plain | null
  readonly check: Plain | null
}

/** Finds what is to be added to an exercise so that a program fails, by adding it and trying. */
export class Proposals {
  readonly #exercise: Exercise
  readonly #seed: number
  readonly #prober: Prober

  constructor(exercise: Exercise, seed: number, prober: Prober) {
    this.#exercise = exercise
    this.#seed = seed
    this.#prober = prober
  }

  /** For an input that no case has. */
  forInput(difference: Difference, { plain, words }: ProbingInput, stopped: Stopped): Suggestion {
    const { what, ...proposed } = checkFor(difference)
    return this.#withCase(plain, proposed, `With ${words}, ${what}.`, stopped)
  }

  /** For a case of the exercise; with other drawn values a case of its own. `isOfCall`: it shows after a call, and not at the end. */
  forCase(found: Found, stopped: Stopped, isOfCall = false): Suggestion {
    const { difference, caseId, title, stage } = found
    const { check, what, ...named } = checkFor(difference)
    const words = `On ${title}, ${what}${isOfCall ? ' after one of the calls' : ''}.`
    if (found.isDrawnAnew) {
      const drawn = plainCase(caseWith(stage, [], `${caseId.slice(0, 24)}-drawn`, `${title}, values drawn once more`))
      return this.#withCase(drawn, { check, ...named }, `With other values drawn, ${what}.`, stopped)
    }
    const checks = check === null ? [] : isOfCall ? [afterEach(check)] : [check, afterEach(check)]
    const stopping = checks.find((each) => this.#told({ case: null, check: each }, caseId, stopped) === 'told')
    if (stopping === undefined) return { ...suggestionFor(found), words }
    return { check: stopping, caseId, needsRuns: false, plainCase: null, words, ...named, isTried: true }
  }

  /** A check on a case of the exercise, or null where it does not find the program. */
  proven(check: Plain | null, caseId: string, stopped: Stopped): Plain | null {
    return check !== null && this.#told({ case: null, check }, caseId, stopped) === 'told' ? check : null
  }

  #withCase(plain: Plain, { check, title }: Proposed, words: string, stopped: Stopped): Suggestion {
    const caseId = String(plain['id'])
    const { id, title: called, ...rest } = plain
    const held = stopped.isHidden ? { id, title: called, visible: false, ...rest } : plain
    const checks = [null, ...(check === null ? [] : [check, ...('calls' in plain ? [afterEach(check)] : [])])]
    let reason: Telling | 'unreadable' = 'missed'
    for (const each of checks) {
      const what = this.#told({ case: held, check: each }, caseId, stopped)
      if (what === 'told') {
        const named = each === null ? '' : title
        return { check: each, caseId, needsRuns: false, plainCase: held, words, title: named, isTried: true }
      }
      if (each === null) reason = what
    }
    // The check would stand in the way of what is to be written by hand.
    const shown = { caseId, needsRuns: false, plainCase: held, words: `${words} ${reasons[reason]}` }
    return { ...shown, check: null, title: '', isTried: false }
  }

  #told(candidate: Candidate, caseId: string, { image, excuses }: Stopped): Telling | 'unreadable' {
    const [group] = this.#exercise.groups
    const common = { id: 'proposed-by-probe', title: 'Proposed', group: group?.id, cases: [caseId] }
    const plainCheck = candidate.check === null ? null : { ...common, ...candidate.check }
    const read = withMore(this.#exercise, this.#seed, { plainCase: candidate.case, plainCheck })
    return read.isOk ? this.#prober.telling(read.exercise, caseId, image, excuses) : 'unreadable'
  }
}

const afterEach = (check: Plain): Plain => ({ ...check, when: { call: 'each' } })

/** Why a case is shown that does not stop the program as it stands. */
const reasons: Readonly<Record<Telling | 'unreadable', string>> = {
  told: '',
  missed: 'The case alone does not stop it: a check of your own has to look there.',
  'model-fails':
    'Some of your checks want on every case what only yours have: give them a list of cases, or let this one expect its own values.',
  unreadable: 'Some of your checks take a value from each case: let this one expect its own.',
}
