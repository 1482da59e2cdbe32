import { createContext } from 'svelte'
import type { Api } from './api.ts'
import type { Clock } from './Clock.svelte.ts'
import type { Live } from './Live.svelte.ts'
import type { SessionState } from './SessionState.svelte.ts'
import type { Theme } from './Theme.svelte.ts'

/** What every page may use; made once in App.svelte. */
export interface House {
  readonly api: Api
  readonly clock: Clock
  readonly live: Live
  readonly session: SessionState
  readonly theme: Theme
}

export const [useHouse, setHouse] = createContext<House>()
