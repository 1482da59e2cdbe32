import fp from 'fastify-plugin'
import type { IncomingHttpHeaders } from 'node:http'
import type { Config } from '../config.ts'
import { ApiError } from '../errors.ts'

const harmless = new Set(['GET', 'HEAD', 'OPTIONS'])

/**
 * Whether a request can have been caused by a page of another site. Browsers say where a request comes from; a program
 * without a browser says nothing, and has no cookie that it was tricked into sending.
 */
export function isCrossSite(headers: IncomingHttpHeaders, publicOrigin: string | null): boolean {
  const site = headers['sec-fetch-site']
  if (site !== undefined && site !== 'same-origin' && site !== 'none') return true
  const { origin } = headers
  if (origin === undefined) return false
  if (publicOrigin !== null && origin === publicOrigin) return false
  try {
    return new URL(origin).host !== headers.host
  } catch {
    return true
  }
}

export const sameSitePlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    app.addHook('onRequest', async (request) => {
      if (!harmless.has(request.method) && isCrossSite(request.headers, config.publicOrigin))
        throw new ApiError('cross-site')
    })
  },
  { name: 'same-site' },
)
