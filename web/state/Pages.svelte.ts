import { Action } from './Action.svelte.ts'
import { Resource } from './Resource.svelte.ts'

interface Page<Item> {
  readonly items: readonly Item[]
  readonly next: string | null
}

/** A list that comes in pages: the first with `load`, the rest by `more`. Live news goes to its head. */
export class Pages<Item, P extends Page<Item> = Page<Item>> {
  readonly first: Resource<P>
  readonly more: Action<[], void>
  #items = $state.raw<readonly Item[]>([])
  #next = $state.raw<string | null>(null)

  constructor(fetchPage: (after: string | null) => Promise<P>) {
    this.first = new Resource(async () => {
      const page = await fetchPage(null)
      this.#items = page.items
      this.#next = page.next
      return page
    })
    this.more = new Action(async () => {
      const page = await fetchPage(this.#next)
      this.#items = [...this.#items, ...page.items]
      this.#next = page.next
    })
  }

  get items(): readonly Item[] {
    return this.#items
  }

  get hasMore(): boolean {
    return this.#next !== null
  }

  async load(): Promise<void> {
    await this.first.load()
  }

  /** Puts an item at the head, or in its old place when it is there already. */
  putFirst(item: Item, keyOf: (item: Item) => string): void {
    const at = this.#items.findIndex((other) => keyOf(other) === keyOf(item))
    this.#items = at < 0 ? [item, ...this.#items] : this.#items.with(at, item)
  }

  remove(isGone: (item: Item) => boolean): void {
    this.#items = this.#items.filter((item) => !isGone(item))
  }
}
