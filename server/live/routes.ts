import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { ApiError } from '../errors.ts'
import { isCrossSite } from '../plugins/same-site.ts'
import { actorOf } from '../scopes.ts'
import { hashOf } from '../store/accounts.ts'
import { Connection } from './connection.ts'
import { patrol } from './patrol.ts'
import { Switchboard } from './switchboard.ts'

/** Connections one user may have open at a time in one process. */
const mostConnections = 20
/** A browser that vanished without a word is noticed after two of these. */
const heartbeatMs = 30_000
/** Whoever waits is told so often where in the queue. */
const waitsMs = 3000
/** Sessions and members are looked up so often; what is told as news does not wait for it. */
const patrolMs = 1500

export const liveRoutes: FastifyPluginAsyncTypebox = async (app) => {
  const switchboard = new Switchboard(app.database, app.log)
  const stopNews = app.news.on((news) => void switchboard.tell(news))
  const stopGaps = app.news.onGap(() => switchboard.tellAll({ kind: 'refetch' }))
  const stopWaits = every(waitsMs, () => switchboard.tellWaits(), 'places in the queue not told')
  const stopPatrol = every(
    patrolMs,
    () => patrol(app.database, switchboard.connections, new Date()),
    'sessions not seen',
  )
  app.addHook('onClose', async () => {
    stopWaits()
    stopPatrol()
    stopNews()
    stopGaps()
    switchboard.closeAll()
  })

  /** One at a time; what fails is logged and tried again at the next. */
  function every(ms: number, work: () => Promise<void>, failure: string): () => void {
    let isAtWork = false
    const timer = setInterval(() => {
      if (isAtWork) return
      isAtWork = true
      work()
        .catch((error: unknown) => app.log.warn(error, failure))
        .finally(() => {
          isAtWork = false
        })
    }, ms)
    return () => clearInterval(timer)
  }

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
