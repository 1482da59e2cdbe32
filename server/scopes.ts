import type { FastifyInstance, FastifyPluginAsync, FastifyRequest } from 'fastify'
import { ApiError } from './errors.ts'
import { isStaff, may, type Actor, type Deed, type Place } from './rights.ts'
import { findActor } from './store/accounts.ts'
import type { SubmissionPlace } from './store/news.ts'
import { findPlace } from './store/places.ts'

declare module 'fastify' {
  interface FastifyContextConfig {
    /** What the route does, for the rights check; every route behind a sign-in has one. */
    readonly deed?: Deed
    readonly scope?: 'public' | 'signed-in' | 'staff'
  }
  interface FastifyRequest {
    actorOrNull: Actor | null
    placeOrNull: Place | null
  }
  interface Session {
    userId?: string
  }
}

/** Three rooms: whoever registers routes in one gets its hook. */
export interface Scopes {
  readonly open: readonly FastifyPluginAsync[]
  readonly signedIn: readonly FastifyPluginAsync[]
  readonly staff: readonly FastifyPluginAsync[]
}

export async function registerScopes(app: FastifyInstance, scopes: Scopes): Promise<void> {
  app.decorateRequest('actorOrNull', null)
  app.decorateRequest('placeOrNull', null)
  await app.register(async (scope) => {
    markRoutes(scope, 'public')
    for (const plugin of scopes.open) await scope.register(plugin)
  })
  await app.register(async (scope) => {
    markRoutes(scope, 'signed-in')
    scope.addHook('preValidation', authorise)
    for (const plugin of scopes.signedIn) await scope.register(plugin)
  })
  await app.register(async (scope) => {
    markRoutes(scope, 'staff')
    scope.addHook('preValidation', authorise)
    scope.addHook('preValidation', requireStaff)
    for (const plugin of scopes.staff) await scope.register(plugin)
  })
}

/** Who asks, for a route that signed-in people only reach. */
export function actorOf(request: FastifyRequest): Actor {
  if (request.actorOrNull === null) throw new ApiError('not-signed-in')
  return request.actorOrNull
}

/** Where the request goes, for a route with an id of a course, an exercise or a submission. */
export function placeOf(request: FastifyRequest): Place {
  if (request.placeOrNull === null) throw new ApiError('not-found')
  return request.placeOrNull
}

/** The submission that the request is about. */
export function submissionPlaceOf(request: FastifyRequest): SubmissionPlace {
  const { courseId, exerciseId, submissionId, ownerId } = placeOf(request)
  if (exerciseId === null || submissionId === null || ownerId === null) throw new ApiError('not-found')
  return { courseId, exerciseId, submissionId, studentId: ownerId }
}

export async function identify(request: FastifyRequest): Promise<Actor | null> {
  const userId = request.session?.userId
  return userId === undefined ? null : findActor(request.server.database, userId)
}

async function authorise(request: FastifyRequest): Promise<void> {
  const actor = await identify(request)
  if (actor === null) throw new ApiError('not-signed-in')
  request.actorOrNull = actor
  const deed = request.routeOptions.config.deed
  if (deed === undefined) throw new Error(`${request.routeOptions.url} declares no deed`)
  const params = request.params as Record<string, string | undefined>
  request.placeOrNull = await findPlace(request.server.database, actor.id, params)
  const verdict = may(actor, deed, request.placeOrNull)
  if (verdict === 'hidden') throw new ApiError('not-found')
  if (verdict === 'refused') throw new ApiError(deed === 'create-course' ? 'not-allowed' : refusalOf(request))
}

function refusalOf(request: FastifyRequest): 'not-allowed' | 'not-staff' {
  return request.routeOptions.config.scope === 'staff' ? 'not-staff' : 'not-allowed'
}

async function requireStaff(request: FastifyRequest): Promise<void> {
  if (!isStaff(placeOf(request).role)) throw new ApiError('not-staff')
}

function markRoutes(app: FastifyInstance, scope: 'public' | 'signed-in' | 'staff'): void {
  app.addHook('onRoute', (route) => {
    route.config = { ...route.config, scope }
  })
}
