import fp from 'fastify-plugin'
import { ApiError } from '../errors.ts'
import { pointerOf } from '../json-pointer.ts'
import { strangePlaces } from '../plain-text.ts'

declare module 'fastify' {
  interface FastifyContextConfig {
    /** Fields of the body that the route looks through itself, such as a program that was handed in. */
    readonly ownText?: readonly string[]
  }
}

/** Refuses characters that nobody sees, in every field of every request, before anything else reads them. */
export const plainTextPlugin = fp(
  async (app) => {
    app.addHook('preValidation', async (request) => {
      const { ownText = [] } = request.routeOptions.config
      for (const [where, value] of [
        ['params', request.params],
        ['querystring', request.query],
        ['body', without(request.body, ownText)],
      ] as const) {
        const places = strangePlaces(value, { isOneLine: true })
        const [first] = places
        if (first === undefined) continue
        throw new ApiError('invalid-request', `In ${[where, ...first.path].join('/')}: found ${first.found}.`, {
          faults: places.map(({ path, found }) => ({
            pointer: pointerOf(path),
            message: `found ${found}, allowed text`,
          })),
        })
      }
    })
  },
  { name: 'plain-text' },
)

/** The body without fields that are looked through elsewhere; what else they hold is looked at by their schema. */
function without(body: unknown, names: readonly string[]): unknown {
  if (names.length === 0 || typeof body !== 'object' || body === null) return body
  return Object.fromEntries(Object.entries(body).filter(([key]) => !names.includes(key)))
}
