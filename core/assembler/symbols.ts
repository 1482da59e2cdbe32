import { evaluate, type Scope } from './evaluate.ts'
import type { Expression } from './expression.ts'
import type { Token } from './token.ts'

/** A name of the program. */
export interface Definition {
  /** As first written. */
  readonly name: string
  readonly kind: 'label' | 'equ' | 'variable'
  readonly at: Token
  /** Null while it is not known, and for good once its expression turned out to have no value. */
  value: number | null
  /** What an EQU stands for, with the value of `$` in its line. */
  readonly expression: Expression | null
  readonly here: number
  state: 'open' | 'busy' | 'known' | 'failed'
}

/** All names of a program, told apart without regard to capitals, and those known beforehand. */
export class SymbolTable {
  readonly #own = new Map<string, Definition>()
  readonly #given = new Map<string, number>()

  constructor(given: Readonly<Record<string, number>>) {
    for (const [name, value] of Object.entries(given)) this.#given.set(name.toUpperCase(), value)
  }

  find(key: string): Definition | undefined {
    return this.#own.get(key)
  }

  /** What a name is known by here: a name with a dot that its label does not have may be one above all labels. */
  keyOf({ key, topKey }: Token): string {
    return topKey !== undefined && !this.#own.has(key) && this.#own.has(topKey) ? topKey : key
  }

  has(key: string): boolean {
    return this.#own.has(key) || this.#given.has(key)
  }

  /** Value of a name known beforehand that the program does not define itself. */
  given(key: string): number | undefined {
    return this.#given.get(key)
  }

  define(definition: Definition): void {
    this.#own.set(definition.at.key, definition)
  }

  /** Every name there is, in capitals, for suggestions. */
  names(): string[] {
    return [...this.#own.keys(), ...this.#given.keys()].filter((key) => !key.includes(' '))
  }

  /** The program's own names with their values, in the order of their definition. */
  values(): Record<string, number> {
    const known: [string, number][] = []
    for (const { name, value, at } of this.#own.values())
      if (value !== null && !at.key.includes(' ')) known.push([name, value])
    return Object.fromEntries(known)
  }

  /** Works out each EQU that had to wait for names further down. `scopeAt` makes the scope for a value of `$`. */
  resolve(scopeAt: (here: number) => Scope): void {
    for (const start of this.#own.values()) {
      // A stack of our own: a chain of twenty thousand EQUs is longer than the machine's.
      const waiting = [start]
      for (let top = waiting.at(-1); top !== undefined; top = waiting.at(-1)) {
        if (top.state === 'known' || top.state === 'failed' || top.expression === null) {
          waiting.pop()
          continue
        }
        top.state = 'busy'
        const scope = scopeAt(top.here)
        const needed = namesIn(top.expression).flatMap((token) => {
          const definition = this.#own.get(this.keyOf(token))
          return definition?.state === 'busy' || definition?.state === 'open' ? [{ token, definition }] : []
        })
        const circle = needed.find(({ definition }) => definition.state === 'busy')
        if (circle !== undefined) {
          const message = `${top.name} cannot be worked out: its value depends on itself.`
          scope.note(circle.token, 'circular-definition', circle.token.text, 'a name with a value of its own', message)
          top.state = 'failed'
        } else if (needed.length === 0) {
          top.value = evaluate(top.expression, scope)
          top.state = top.value === null ? 'failed' : 'known'
        } else waiting.push(...needed.map(({ definition }) => definition))
      }
    }
  }
}

function namesIn(expression: Expression): Token[] {
  switch (expression.kind) {
    case 'name':
      return [expression.at]
    case 'unary':
      return namesIn(expression.of)
    case 'binary':
      return [...namesIn(expression.left), ...namesIn(expression.right)]
    default:
      return []
  }
}
