import type { Wait } from '../../../server/contract/index.ts'
import { count } from '../../words/index.ts'

/** Where a hand-in stands in the queue, and for how long it may: `Waiting: 3 hand-ins before yours, about 12 s`. */
export function waitSentence(wait: Wait | null): string {
  if (wait === null || wait.ahead === 0) return `Waiting: yours is next${about(wait)}`
  return `Waiting: ${count(wait.ahead, 'hand-in')} before yours${about(wait)}`
}

function about(wait: Wait | null): string {
  const seconds = wait?.expectedSeconds ?? null
  if (seconds === null || seconds < 3) return ''
  if (seconds < 90) return `, about ${seconds} s`
  const minutes = Math.round(seconds / 60)
  return minutes < 120 ? `, about ${minutes} min` : `, about ${Math.round(minutes / 60)} h`
}
