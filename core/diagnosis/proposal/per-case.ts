import type { ModelBehaviour } from './model-behaviour.ts'
import type { Idea } from './proposal.ts'

/** One idea where all runs give the same, else one for each case whose runs do. */
export function perCase(
  runs: readonly ModelBehaviour[],
  keyOf: (run: ModelBehaviour) => string,
  ideaOf: (run: ModelBehaviour, cases: readonly string[] | null, suffix: string) => Idea | null,
): readonly Idea[] {
  const [first] = runs
  if (first === undefined) return []
  const isSame = (some: readonly ModelBehaviour[]): boolean => new Set(some.map(keyOf)).size === 1
  if (isSame(runs)) {
    const idea = ideaOf(first, null, '')
    return idea === null ? [] : [idea]
  }
  const ids = [...new Set(runs.map(({ instance }) => instance.of.id))]
  return ids.flatMap((id) => {
    const own = runs.filter(({ instance }) => instance.of.id === id)
    const [run] = own
    if (run === undefined || !isSame(own)) return []
    const idea = ideaOf(run, [id], `-${id}`)
    if (idea === null) return []
    return [run.instance.isVisible ? idea : { ...idea, ways: idea.ways.map((way) => ({ ...way, visible: false })) }]
  })
}
