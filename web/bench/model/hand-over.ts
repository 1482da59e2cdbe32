import type { ProgramFormat } from '../../../core/assembler/index.ts'

/** A program on its way to the bench from another page. */
export interface HandedOver {
  readonly title: string
  readonly format: ProgramFormat
  readonly text: string
}

const key = 'hexcairn-bench'
const formats: readonly string[] = ['hex', 'intel-hex', 'assembly'] satisfies readonly ProgramFormat[]

type Store = Pick<Storage, 'getItem' | 'setItem' | 'removeItem'>

/** Lays a program down for the bench; go to /bench afterwards. It stays within this tab. */
export function handOver(program: HandedOver, store: Store = sessionStorage): void {
  store.setItem(key, JSON.stringify(program))
}

/** What was laid down last; null where nothing was, or something else than a program. */
export function takeOver(store: Store = sessionStorage): HandedOver | null {
  const text = store.getItem(key)
  if (text === null) return null
  try {
    const found: unknown = JSON.parse(text)
    return isHandedOver(found) ? found : null
  } catch {
    return null
  }
}

function isHandedOver(found: unknown): found is HandedOver {
  if (typeof found !== 'object' || found === null) return false
  const { title, format, text } = found as Record<string, unknown>
  return typeof title === 'string' && typeof text === 'string' && formats.includes(String(format))
}
