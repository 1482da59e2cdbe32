import fastifyStatic from '@fastify/static'
import fp from 'fastify-plugin'
import { existsSync } from 'node:fs'
import { join } from 'node:path'
import { ApiError } from '../errors.ts'
import { sendProblem } from './failures.ts'

/** The built pages. Every address that is neither a file nor part of the API is the application's own. */
export const pagesPlugin = fp<{ readonly folder: string | null }>(
  async (app, { folder }) => {
    const index = folder !== null && existsSync(join(folder, 'index.html')) ? 'index.html' : null
    if (folder !== null && index !== null)
      await app.register(fastifyStatic, {
        root: folder,
        wildcard: false,
        index: false,
        // The header below says it all; the library would set its own over it.
        cacheControl: false,
        // The build wrote each file compressed beside it.
        preCompressed: true,
        setHeaders: (reply, path) => {
          reply.setHeader('vary', 'accept-encoding')
          // Names below assets/ hold a hash of their content.
          const isForever = path.startsWith(join(folder, 'assets'))
          reply.setHeader('cache-control', isForever ? 'public, max-age=31536000, immutable' : 'no-cache')
        },
      })
    app.setNotFoundHandler((request, reply) => {
      const isPage = index !== null && (request.method === 'GET' || request.method === 'HEAD')
      const path = request.url.split('?', 1)[0] ?? ''
      if (isPage && !path.startsWith('/api/') && !/\.[a-z0-9]{2,5}$/i.test(path)) return reply.sendFile(index)
      return sendProblem(new ApiError('not-found', `There is nothing at ${request.method} ${path}.`), request, reply)
    })
  },
  { name: 'pages' },
)
