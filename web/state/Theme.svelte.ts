export type ThemeChoice = 'light' | 'dark' | 'system'

/** Where the choice is kept; web/public/theme.js reads the same key before the first paint. */
const key = 'hexcairn-theme'

export class Theme {
  #choice = $state<ThemeChoice>('system')

  constructor() {
    const kept = read()
    if (kept === 'light' || kept === 'dark') this.#choice = kept
  }

  get choice(): ThemeChoice {
    return this.#choice
  }

  choose(choice: ThemeChoice): void {
    this.#choice = choice
    if (choice === 'system') delete document.documentElement.dataset['theme']
    else document.documentElement.dataset['theme'] = choice
    write(choice)
  }
}

function read(): string | null {
  try {
    return localStorage.getItem(key)
  } catch {
    return null
  }
}

function write(choice: ThemeChoice): void {
  try {
    if (choice === 'system') localStorage.removeItem(key)
    else localStorage.setItem(key, choice)
  } catch {
    // Storage may be forbidden; the choice then lasts as long as the page.
  }
}
