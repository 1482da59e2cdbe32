import helmet from '@fastify/helmet'
import fp from 'fastify-plugin'
import type { Config } from '../config.ts'

/** Response headers that narrow what a page may load and run. */
export const headersPlugin = fp<{ readonly config: Config }>(
  async (app, { config }) => {
    const isSecure = config.publicOrigin?.startsWith('https://') ?? false
    await app.register(helmet, {
      contentSecurityPolicy: {
        useDefaults: false,
        directives: {
          defaultSrc: ["'self'"],
          // The engine compiles parts of itself to WebAssembly in the browser.
          scriptSrc: ["'self'", "'wasm-unsafe-eval'"],
          workerSrc: ["'self'", 'blob:'],
          // Components set sizes and positions by style attributes.
          styleSrc: ["'self'", "'unsafe-inline'"],
          imgSrc: ["'self'", 'data:', 'blob:'],
          fontSrc: ["'self'", 'data:'],
          connectSrc: ["'self'"],
          objectSrc: ["'none'"],
          baseUri: ["'none'"],
          formAction: ["'self'"],
          frameAncestors: ["'none'"],
        },
      },
      crossOriginEmbedderPolicy: false,
      strictTransportSecurity: isSecure ? { maxAge: 31_536_000 } : false,
      referrerPolicy: { policy: 'same-origin' },
    })
    // What the API answers is somebody's own: no cache on the way or on disk keeps it.
    app.addHook('onRequest', async (request, reply) => {
      if (request.url.startsWith('/api/')) reply.header('cache-control', 'no-store')
    })
  },
  { name: 'headers' },
)
