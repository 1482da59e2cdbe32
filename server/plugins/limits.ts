import rateLimit from '@fastify/rate-limit'
import fp from 'fastify-plugin'
import type { Config } from '../config.ts'
import { deviceOf } from '../accounts/device-cookie.ts'
import { subscriberOf } from '../accounts/sign-in-throttle.ts'
import { tooMany } from '../errors.ts'

/**
 * A bound on all requests of one person or address, so that no flood ties up this server. Each server counts for itself, in
 * memory: a count in the database would cost a write a request. What must hold over all servers is in the plugin `throttle`.
 */
export const limitsPlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    await app.register(rateLimit, {
      global: true,
      max: config.limits.requests,
      timeWindow: '1 minute',
      // A whole class may sit behind one address, so whoever is signed in is counted alone, and so is a browser from which
      // somebody has been.
      keyGenerator: (request) => request.session?.userId ?? deviceOf(request) ?? `address ${subscriberOf(request.ip)}`,
      allowList: (request) => !request.url.startsWith('/api/'),
      errorResponseBuilder: (_request, context) =>
        tooMany('too-many-requests', `At most ${context.max} requests in a minute.`, context.ttl / 1000),
    })
  },
  { name: 'limits', dependencies: ['sessions'] },
)
