import type { FastifyPluginAsyncTypebox } from '@fastify/type-provider-typebox'
import { Board, BoardList, BoardParams } from '../contract/index.ts'
import { boards } from '../engine.ts'
import { ApiError } from '../errors.ts'

/** Boards are public: the bench works without signing in. */
export const boardRoutes: FastifyPluginAsyncTypebox = async (app) => {
  app.get(
    '/api/boards',
    { schema: { tags: ['boards'], summary: 'Installed boards', response: { 200: BoardList } } },
    async () => ({
      boards: [...boards.values()].map(({ id, title, clockHz }) => ({ id, title, clockHz })),
    }),
  )

  app.get(
    '/api/boards/:boardId',
    { schema: { tags: ['boards'], summary: 'One board profile', params: BoardParams, response: { 200: Board } } },
    async (request) => {
      const profile = boards.get(request.params.boardId)
      if (profile === undefined) throw new ApiError('not-found', `There is no board '${request.params.boardId}'.`)
      return profile
    },
  )
}
