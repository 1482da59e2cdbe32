import websocket from '@fastify/websocket'
import Fastify, { type FastifyInstance, type RouteOptions } from 'fastify'
import { randomUUID } from 'node:crypto'
import { accountRoutes } from './accounts/routes.ts'
import { ownPasswordRoutes, passwordLinkRoutes, passwordLinkStaffRoutes } from './accounts/password-routes.ts'
import type { PasswordCost } from './accounts/passwords.ts'
import { boardRoutes } from './boards/routes.ts'
import type { Config } from './config.ts'
import { ProblemDetails } from './contract/index.ts'
import { courseRoutes, courseStaffRoutes } from './courses/routes.ts'
import { diagnosisRoutes } from './diagnoses/routes.ts'
import { exerciseRoutes, exerciseStaffRoutes } from './exercises/routes.ts'
import { extensionRoutes } from './exercises/extension-routes.ts'
import { feedbackRoutes } from './feedback/routes.ts'
import type { GraderPool } from './grader/pool.ts'
import { hintRoutes } from './hints/routes.ts'
import { liveRoutes } from './live/routes.ts'
import { markRoutes, markStaffRoutes } from './marks/routes.ts'
import { databasePlugin } from './plugins/database.ts'
import type { DocumentReader } from './exercises/document-reader.ts'
import { descriptionPlugin } from './plugins/description.ts'
import { documentsPlugin } from './plugins/documents.ts'
import { answerClientError } from './plugins/client-errors.ts'
import { failuresPlugin, sendProblem, translate } from './plugins/failures.ts'
import { gradingPlugin } from './plugins/grading.ts'
import { headersPlugin } from './plugins/headers.ts'
import { housekeepingPlugin } from './plugins/housekeeping.ts'
import { limitsPlugin } from './plugins/limits.ts'
import { newsPlugin } from './plugins/news.ts'
import { operationsPlugin } from './plugins/operations.ts'
import { pagesPlugin } from './plugins/pages.ts'
import { plainTextPlugin } from './plugins/plain-text.ts'
import { queuePlugin } from './plugins/queue.ts'
import { sameSitePlugin } from './plugins/same-site.ts'
import { sessionsPlugin } from './plugins/sessions.ts'
import { settingsPlugin } from './plugins/settings.ts'
import { throttlePlugin } from './plugins/throttle.ts'
import { progressRoutes } from './progress/routes.ts'
import { noteRoutes, noteStaffRoutes } from './reviews/note-routes.ts'
import { reviewStaffRoutes } from './reviews/routes.ts'
import { writtenStaffRoutes } from './reviews/written-routes.ts'
import { savedAnswerRoutes } from './saved-answers/routes.ts'
import { registerScopes } from './scopes.ts'
import { serverRoutes } from './server-routes.ts'
import type { Database } from './store/database.ts'
import { submissionRoutes } from './submissions/routes.ts'
import type { TrustedProxy } from './trusted-proxy.ts'

export interface AppOptions {
  readonly config: Config
  /** A database that is open and migrated; without it the one of the configuration is opened. */
  readonly database?: Database
  readonly passwordCost?: PasswordCost
  readonly pool?: GraderPool
  /** Reads exercises that are sent; without it a process is started for that. */
  readonly reader?: DocumentReader
  /** Told of every route, for the test that tries each of them. */
  readonly onRoute?: (route: RouteOptions) => void
}

/** Making a database folder and starting graders takes seconds, and longer on a machine that is busy. */
const pluginTimeout = 180_000

/**
 * Milliseconds. A request that is sent in drops holds a connection for so long, and no longer; so does an answer that nobody
 * takes. A hand-in that awaits its report is quiet for less.
 */
const connectionTimes = { requestTimeout: 60_000, connectionTimeout: 120_000 } as const
/** Connections one server holds at a time, websockets among them; above it new ones are closed at once. */
const mostConnections = 10_000

/** One JSON document a line, with the request's id; no line tells an address, a name, or what was asked for in a query. */
function loggerOf({ logLevel }: Config) {
  if (logLevel === 'silent') return false
  const req = ({ method, url }: { method: string; url: string }) => ({ method, path: url.split('?')[0] })
  return { level: logLevel, serializers: { req } }
}

/** A grader alone: takes jobs, answers nobody. */
export async function buildGrader({ config, database, pool }: AppOptions): Promise<FastifyInstance> {
  const app = Fastify({ logger: loggerOf(config), pluginTimeout })
  await app.register(databasePlugin, { config, ...(database === undefined ? {} : { database }) })
  await app.register(operationsPlugin, { config })
  await app.register(queuePlugin, { config })
  await app.register(newsPlugin)
  await app.register(gradingPlugin, { config, ...(pool === undefined ? {} : { pool }) })
  await app.ready()
  return app
}

function trustProxyOf(proxy: TrustedProxy): false | string[] | ((address: string, hop: number) => boolean) {
  if (proxy === null) return false
  return typeof proxy === 'number' ? (_address, hop) => hop < proxy : [...proxy]
}

/** The whole server, not listening yet. `close()` ends everything it opened. */
export async function buildApp({
  config,
  database,
  passwordCost,
  pool,
  reader,
  onRoute,
}: AppOptions): Promise<FastifyInstance> {
  const app = Fastify({
    logger: loggerOf(config),
    // Unknown fields and numbers in quotes are mistakes of the caller, not to be mended in silence.
    ajv: { customOptions: { removeAdditional: false, coerceTypes: false, allErrors: true } },
    bodyLimit: 524_288,
    trustProxy: trustProxyOf(config.trustedProxy),
    genReqId: () => randomUUID(),
    forceCloseConnections: true,
    pluginTimeout,
    ...connectionTimes,
    http: { connectionsCheckingInterval: 1000 },
    frameworkErrors: (error, request, reply) => sendProblem(translate(error, request), request, reply),
    clientErrorHandler: answerClientError,
  })
  app.addHook('onRoute', (route) => {
    onRoute?.(route)
    if (!route.url.startsWith('/api/') || route.schema === undefined || route.schema.hide === true) return
    route.schema = {
      ...route.schema,
      response: { ...(route.schema.response as object), '4xx': ProblemDetails, '5xx': ProblemDetails },
    }
  })
  app.server.maxConnections = mostConnections
  await app.register(failuresPlugin)
  await app.register(plainTextPlugin)
  await app.register(settingsPlugin, { config, ...(passwordCost === undefined ? {} : { passwordCost }) })
  await app.register(databasePlugin, { config, ...(database === undefined ? {} : { database }) })
  await app.register(operationsPlugin, { config })
  await app.register(queuePlugin, { config })
  await app.register(newsPlugin)
  await app.register(documentsPlugin, reader === undefined ? {} : { reader })
  await app.register(headersPlugin, { config })
  await app.register(sameSitePlugin, { config })
  await app.register(sessionsPlugin, { config })
  await app.register(limitsPlugin, { config })
  await app.register(throttlePlugin, { config })
  await app.register(housekeepingPlugin)
  await app.register(descriptionPlugin)
  await app.register(websocket, { options: { maxPayload: 16_384 } })
  await registerScopes(app, {
    open: [serverRoutes, accountRoutes, passwordLinkRoutes, boardRoutes],
    signedIn: [
      ownPasswordRoutes,
      courseRoutes,
      exerciseRoutes,
      hintRoutes,
      submissionRoutes,
      diagnosisRoutes,
      noteRoutes,
      markRoutes,
      liveRoutes,
    ],
    staff: [
      passwordLinkStaffRoutes,
      courseStaffRoutes,
      exerciseStaffRoutes,
      extensionRoutes,
      feedbackRoutes,
      progressRoutes,
      markStaffRoutes,
      reviewStaffRoutes,
      writtenStaffRoutes,
      noteStaffRoutes,
      savedAnswerRoutes,
    ],
  })
  await app.register(pagesPlugin, { folder: config.webFolder })
  if (config.role === 'all') await app.register(gradingPlugin, { config, ...(pool === undefined ? {} : { pool }) })
  await app.ready()
  return app
}
