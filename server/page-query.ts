import type { PageQuery } from './contract/index.ts'
import { ApiError } from './errors.ts'

export interface Page {
  readonly after: bigint | null
  readonly limit: number
}

export function readPage({ after, limit }: PageQuery): Page {
  if (after !== undefined && !/^\d{1,18}$/.test(after))
    throw new ApiError('invalid-request', 'Found an unknown page mark, allowed the value of next of the page before.', {
      faults: [{ pointer: '/after', message: 'no page mark' }],
    })
  return { after: after === undefined ? null : BigInt(after), limit: Math.min(Number(limit ?? 50), 200) }
}
