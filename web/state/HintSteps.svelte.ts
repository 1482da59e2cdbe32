import type { Hint, HintLadder } from '../../server/contract/index.ts'
import { Action } from './Action.svelte.ts'
import type { Api } from './api.ts'
import { Resource } from './Resource.svelte.ts'

/** Characters an answer has at least; the server holds the same line. */
export const shortestAnswer = 15

/** The ladder of hints of one exercise as its reader climbs it. */
export class HintSteps {
  readonly resource: Resource<HintLadder>
  readonly take: Action<[number: number, answer: string], void>

  constructor(api: Api, exerciseId: string) {
    const params = { exerciseId }
    this.resource = new Resource(() => api.call('GET /api/exercises/:exerciseId/hints', { params }))
    this.take = new Action(async (number, answer) => {
      const call = { params: { exerciseId, rung: String(number) }, body: { answer: answer.trim() } }
      const told = await api.call('POST /api/exercises/:exerciseId/hints/:rung', call)
      this.resource.change(({ hints }) => ({ hints: hints.map((hint) => climbed(hint, told)) }))
    })
  }

  /** Hints that help with one of the checks, and those that help with any. */
  offered(failed: readonly string[]): readonly Hint[] {
    const hints = this.resource.value?.hints ?? []
    return hints.filter(({ checks }) => checks.length === 0 || checks.some((id) => failed.includes(id)))
  }
}

/** A hint after another one was told: that one has its words, and what waited for it is free. */
function climbed(hint: Hint, told: Hint): Hint {
  if (hint.number === told.number) return told
  return hint.needs === told.number ? { ...hint, needs: null } : hint
}

/** How many characters an answer still lacks. */
export function lacking(answer: string): number {
  return Math.max(0, shortestAnswer - answer.trim().length)
}
