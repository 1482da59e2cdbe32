import type { Board } from '../../../server/contract/index.ts'
import type { Api } from '../../state/index.ts'

/** Every board profile, whole: a document may name any of them. */
export async function allBoards(api: Api): Promise<readonly Board[]> {
  const { boards } = await api.call('GET /api/boards')
  return Promise.all(boards.map(({ id }) => api.call('GET /api/boards/:boardId', { params: { boardId: id } })))
}
