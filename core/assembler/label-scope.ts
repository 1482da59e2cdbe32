import type { Token } from './token.ts'

/** True for a name that belongs to the label above it: `.loop`. One that belongs to a call already has a blank in it. */
export function isLocalName({ kind, key }: Token): boolean {
  return kind === 'name' && key.startsWith('.') && !key.includes(' ')
}

/**
 * Whom the names with a dot belong to, in the text, in one call of a macro or in one round of a REPT. In a macro or REPT the
 * names that it defines before any label of its own belong to the call or round alone; names that it does not define are
 * those of the place that it was called from.
 */
export class LabelScope {
  #owner: Token | null = null
  readonly #parent: LabelScope | null
  readonly #defined: ReadonlySet<string>
  readonly #id: number

  /** `defined` are the names with a dot that stand as labels in the macro or REPT; `id` is never given twice. */
  constructor(parent: LabelScope | null, defined: ReadonlySet<string>, id: number) {
    this.#parent = parent
    this.#defined = defined
    this.#id = id
  }

  /** Names with a dot now belong to this label, unless it is itself one of the label above it, in full; after the macro too, unless the label is the macro's own. */
  open(label: Token): void {
    // Its owner's name and a dot before it: a name with a dot written in full.
    if (this.#owner !== null && label.key.startsWith(`${this.#owner.key}.`)) return
    this.#owner = label
    if (!label.key.includes(' ')) this.#parent?.open(label)
  }

  /** A name with a dot as the name that it is in full; above all labels it is one of its own. */
  resolve(name: Token): Token {
    if (this.#parent !== null && !this.#defined.has(name.key)) return this.#parent.resolve(name)
    if (this.#owner !== null)
      return {
        ...name,
        text: `${this.#owner.text}${name.text}`,
        key: `${this.#owner.key}${name.key}`,
        topKey: name.key,
      }
    // No name of a source text has a blank in it.
    return this.#parent === null ? name : { ...name, key: `${name.key} ${this.#id}` }
  }
}
