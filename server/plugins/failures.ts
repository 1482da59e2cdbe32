import type { FastifyError, FastifyReply, FastifyRequest } from 'fastify'
import fp from 'fastify-plugin'
import type { Fault } from '../contract/index.ts'
import { ApiError, problemOf, type ErrorCode } from '../errors.ts'
import { isDatabaseAway } from '../store/database.ts'

declare module 'fastify' {
  interface FastifyContextConfig {
    /** The code for a body over the route's limit, where it has one of its own. */
    readonly tooLarge?: ErrorCode
  }
}

/** Turns everything thrown into one form (RFC 9457). From 500 up the client sees a fixed sentence and the request id. */
export const failuresPlugin = fp(
  async (app) => {
    app.setErrorHandler((error: FastifyError | ApiError, request, reply) => {
      const known = error instanceof ApiError ? error : translate(error, request)
      if (known.code === 'unavailable') request.log.warn({ reason: error.message }, 'the database is away')
      else if (known.status >= 500) request.log.error(error)
      request.server.metrics?.problems.inc({ code: known.code })
      return sendProblem(known, request, reply)
    })
  },
  { name: 'failures' },
)

export function sendProblem(error: ApiError, request: FastifyRequest, reply: FastifyReply): FastifyReply {
  const body = problemOf(error, request.id)
  reply.removeHeader('location')
  return reply
    .status(error.status)
    .headers({ 'cache-control': 'no-store', ...error.headers })
    .type('application/problem+json; charset=utf-8')
    .serializer(JSON.stringify)
    .send(body)
}

/** The error of the framework itself as one of the table. */
export function translate(error: FastifyError, request: FastifyRequest): ApiError {
  if (error.validation !== undefined) {
    const faults = error.validation.map(toFault)
    return new ApiError('invalid-request', `In ${error.validationContext}: ${faults[0]?.message ?? error.message}.`, {
      faults,
    })
  }
  switch (error.code) {
    case 'FST_ERR_CTP_BODY_TOO_LARGE':
      return new ApiError(request.routeOptions.config.tooLarge ?? 'body-too-large')
    case 'FST_ERR_CTP_INVALID_MEDIA_TYPE':
      return new ApiError(
        'media-type',
        `Found '${request.headers['content-type'] ?? 'no type'}', allowed application/json.`,
      )
    case 'FST_ERR_CTP_EMPTY_JSON_BODY':
    case 'FST_ERR_CTP_INVALID_JSON_BODY':
    case 'FST_ERR_CTP_INVALID_CONTENT_LENGTH':
      return new ApiError('invalid-json', error.message)
  }
  // The library's own refusals of a request that cannot be parsed at all.
  if (error.statusCode !== undefined && error.statusCode >= 400 && error.statusCode < 500)
    return new ApiError('invalid-request', error.message)
  return isDatabaseAway(error) ? unavailable() : new ApiError('internal')
}

/** The database is away; a client that waits so many seconds finds it again if it was a short absence. */
function unavailable(): ApiError {
  return new ApiError('unavailable', undefined, { retryAfter: 2 })
}

interface Invalid {
  readonly instancePath: string
  readonly keyword: string
  readonly params: Record<string, unknown>
  readonly message?: string
}

function toFault({ instancePath, keyword, params, message = 'not allowed' }: Invalid): Fault {
  const extra = params['additionalProperty'] ?? params['missingProperty']
  if (keyword === 'additionalProperties')
    return { pointer: `${instancePath}/${String(extra)}`, message: `unknown field '${String(extra)}'` }
  if (keyword === 'required')
    return { pointer: `${instancePath}/${String(extra)}`, message: `'${String(extra)}' is missing` }
  const allowed = params['allowedValues']
  const choices = Array.isArray(allowed) ? `: ${allowed.join(', ')}` : ''
  return { pointer: instancePath, message: `${instancePath.slice(1) || 'the body'} ${message}${choices}` }
}
