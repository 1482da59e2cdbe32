import rateLimit from '@fastify/rate-limit'
import fp from 'fastify-plugin'
import type { Config } from '../config.ts'
import { ApiError } from '../errors.ts'

/** A bound on all requests of one person or address; routes that cost more set their own beside it. */
export const limitsPlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    await app.register(rateLimit, {
      global: true,
      max: config.limits.requests,
      timeWindow: '1 minute',
      // A whole class may sit behind one address, so whoever is signed in is counted alone.
      keyGenerator: (request) => request.session?.userId ?? `address ${request.ip}`,
      allowList: (request) => !request.url.startsWith('/api/'),
      errorResponseBuilder: (_request, context) =>
        new ApiError('too-many-requests', `Try again in ${Math.ceil(context.ttl / 1000)} s.`),
    })
  },
  { name: 'limits', dependencies: ['sessions'] },
)
