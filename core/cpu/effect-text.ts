/** Operators of two sides, the loosest first: C's order. */
const precedence = [['|'], ['^'], ['&'], ['==', '!='], ['<', '>'], ['<<', '>>'], ['+', '-']] as const
export type BinaryOperator = (typeof precedence)[number][number]

/** An effect as written, before its rules are put in. */
export type Tree =
  | { readonly kind: 'number'; readonly value: number }
  | { readonly kind: 'name'; readonly name: string }
  | { readonly kind: 'unary'; readonly operator: '!' | '-' | '~'; readonly of: Tree }
  | { readonly kind: 'binary'; readonly operator: BinaryOperator; readonly left: Tree; readonly right: Tree }
  | { readonly kind: 'choose'; readonly condition: Tree; readonly then: Tree; readonly otherwise: Tree }
  | { readonly kind: 'call'; readonly name: string; readonly values: readonly Tree[] }

const words = ['idle', 'halt', 'holdInterrupts', 'interruptFlagRead'] as const
export type Word = (typeof words)[number]

export type TreeStatement =
  | { readonly kind: 'let'; readonly name: string; readonly value: Tree }
  | { readonly kind: 'set'; readonly register: string; readonly value: Tree }
  | { readonly kind: 'give'; readonly value: Tree }
  | { readonly kind: 'if' | 'when'; readonly condition: Tree; readonly body: readonly TreeStatement[] }
  | { readonly kind: 'call'; readonly name: string; readonly values: readonly Tree[] }
  | { readonly kind: 'word'; readonly name: Word }

const isWord = (name: string): name is Word => words.some((word) => word === name)

class Reader {
  readonly #text: string
  readonly #tokens: readonly string[]
  #at = 0

  constructor(text: string) {
    this.#text = text
    this.#tokens = text.match(/0x[0-9A-Fa-f]+|\d+|[A-Za-z]\w*'?|<<|>>|==|!=|\S/g) ?? []
  }

  get #next(): string {
    return this.#tokens[this.#at] ?? ''
  }

  #take(): string {
    this.#at += 1
    return this.#tokens[this.#at - 1] ?? ''
  }

  #skip(token: string): boolean {
    const isThere = this.#next === token
    if (isThere) this.#at += 1
    return isThere
  }

  #expect(token: string) {
    if (!this.#skip(token)) throw new Error(`effect '${this.#text}': '${token}' wanted, '${this.#next}' found`)
  }

  body(end: '' | '}'): TreeStatement[] {
    const statements: TreeStatement[] = []
    while (this.#next !== end) if (!this.#skip(';')) statements.push(this.#statement())
    this.#at += 1
    return statements
  }

  #statement(): TreeStatement {
    const name = this.#take()
    switch (name) {
      case 'let': {
        const local = this.#take()
        this.#expect('=')
        return { kind: 'let', name: local, value: this.#value() }
      }
      case 'give':
        return { kind: 'give', value: this.#value() }
      case 'if':
      case 'when': {
        const condition = this.#value()
        this.#expect('{')
        return { kind: name, condition, body: this.body('}') }
      }
    }
    if (isWord(name)) return { kind: 'word', name }
    if (this.#skip('(')) return { kind: 'call', name, values: this.#values() }
    this.#expect('=')
    return { kind: 'set', register: name, value: this.#value() }
  }

  #value(): Tree {
    const condition = this.#joined(0)
    if (!this.#skip('?')) return condition
    const then = this.#value()
    this.#expect(':')
    return { kind: 'choose', condition, then, otherwise: this.#value() }
  }

  #joined(level: number): Tree {
    const operators: readonly string[] | undefined = precedence[level]
    if (!operators) return this.#single()
    let left = this.#joined(level + 1)
    while (operators.includes(this.#next)) {
      const operator = this.#take() as BinaryOperator
      left = { kind: 'binary', operator, left, right: this.#joined(level + 1) }
    }
    return left
  }

  #single(): Tree {
    const token = this.#take()
    if (token === '!' || token === '-' || token === '~') return { kind: 'unary', operator: token, of: this.#single() }
    if (token === '(') {
      const value = this.#value()
      this.#expect(')')
      return value
    }
    if (/^\d/.test(token)) return { kind: 'number', value: Number(token) }
    if (!/^[A-Za-z]/.test(token)) throw new Error(`effect '${this.#text}': a value wanted, '${token}' found`)
    return this.#skip('(') ? { kind: 'call', name: token, values: this.#values() } : { kind: 'name', name: token }
  }

  #values(): Tree[] {
    const values: Tree[] = []
    while (!this.#skip(')')) {
      values.push(this.#value())
      this.#skip(',')
    }
    return values
  }
}

/** Reads steps as written; see `readEffect` for the language. */
export const parseBody = (text: string): readonly TreeStatement[] => new Reader(text).body('')
