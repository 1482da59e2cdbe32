import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { ApiError } from '../errors.ts'
import { isCrossSite } from '../plugins/same-site.ts'
import { actorOf } from '../scopes.ts'
import { hashOf } from '../store/accounts.ts'
import { Connection } from './connection.ts'
import { Switchboard } from './switchboard.ts'

/** Connections one user may have open at a time in one process. */
const mostConnections = 20
/** A browser that vanished without a word is noticed after two of these. */
const heartbeatMs = 30_000
/** Whoever waits is told so often where in the queue. */
const waitsMs = 3000

export const liveRoutes: FastifyPluginAsyncTypebox = async (app) => {
  const switchboard = new Switchboard(app.database, app.log)
  const stopNews = app.news.on((news) => void switchboard.tell(news))
  const stopGaps = app.news.onGap(() => switchboard.tellAll({ kind: 'refetch' }))
  let isTelling = false
  const waits = setInterval(() => {
    if (isTelling) return
    isTelling = true
    switchboard
      .tellWaits()
      .catch((error: unknown) => app.log.warn(error, 'places in the queue not told'))
      .finally(() => {
        isTelling = false
      })
  }, waitsMs)
  app.addHook('onClose', async () => {
    clearInterval(waits)
    stopNews()
    stopGaps()
    switchboard.closeAll()
  })

  app.route({
    method: 'GET',
    url: '/api/live',
    schema: { hide: true },
    config: { deed: 'listen' },
    preValidation: async (request) => {
      // A browser sends cookies with a socket from any page, so the page's origin is looked at.
      if (isCrossSite(request.headers, app.settings.publicOrigin)) throw new ApiError('cross-site')
      if (switchboard.countOf(actorOf(request).id) >= mostConnections) throw new ApiError('too-many-requests')
    },
    handler: async () => {
      throw new ApiError('upgrade-needed')
    },
    wsHandler: (socket, request) => {
      const connection = new Connection(socket, app.database, actorOf(request), hashOf(request.session.sessionId))
      let isAlive = true
      const heartbeat = setInterval(() => {
        if (!isAlive) return socket.terminate()
        isAlive = false
        socket.ping()
      }, heartbeatMs)
      socket.on('pong', () => {
        isAlive = true
      })
      socket.on('message', (data: Buffer, isBinary: boolean) => {
        if (isBinary) return connection.close(1003, 'text only')
        connection.receive(data.toString('utf8')).catch((error: unknown) => {
          request.log.error(error)
          connection.close(1011, 'internal')
        })
      })
      socket.on('error', (error: Error) => request.log.debug(error))
      socket.on('close', () => {
        clearInterval(heartbeat)
        switchboard.remove(connection)
      })
      switchboard.add(connection)
      connection.send({ kind: 'hello', now: new Date().toISOString() })
    },
  })
}
