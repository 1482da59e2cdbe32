import { StateEffect, StateField, type Extension } from '@codemirror/state'
import { gutter, GutterMarker } from '@codemirror/view'

/** What stands beside a line of a text. */
export interface GutterFact {
  readonly line: number
  readonly address: string
  readonly bytes: string
  readonly cost: string
}

export const setFacts = StateEffect.define<readonly GutterFact[]>()

const factsField = StateField.define<ReadonlyMap<number, GutterFact>>({
  create: () => new Map(),
  update: (facts, transaction) => {
    for (const effect of transaction.effects)
      if (effect.is(setFacts)) return new Map(effect.value.map((fact) => [fact.line, fact]))
    return facts
  },
})

class FactMarker extends GutterMarker {
  readonly #fact: GutterFact

  constructor(fact: GutterFact) {
    super()
    this.#fact = fact
  }

  override eq(other: GutterMarker): boolean {
    if (!(other instanceof FactMarker)) return false
    const [a, b] = [this.#fact, other.#fact]
    return a.address === b.address && a.bytes === b.bytes && a.cost === b.cost
  }

  override toDOM(): Node {
    const row = document.createElement('span')
    row.className = 'fact'
    for (const part of ['address', 'bytes', 'cost'] as const) {
      const cell = document.createElement('span')
      cell.className = part
      cell.textContent = this.#fact[part]
      row.append(cell)
    }
    return row
  }
}

/** Addresses, bytes and T-states at the left of each line, as in a printed listing. */
export function factsGutter(): Extension {
  return [
    factsField,
    gutter({
      class: 'facts-gutter',
      lineMarker: (view, block) => {
        const fact = view.state.field(factsField).get(view.state.doc.lineAt(block.from).number)
        return fact === undefined ? null : new FactMarker(fact)
      },
      lineMarkerChange: (update) => update.startState.field(factsField) !== update.state.field(factsField),
    }),
  ]
}
