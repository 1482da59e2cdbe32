import Type, { type Static } from 'typebox'
import type { BoardProfile } from '../../core/board/index.ts'
import { Id } from './value.ts'

export const BoardSummary = Type.Object({ id: Type.String(), title: Type.String(), clockHz: Type.Integer() })
export type BoardSummary = Static<typeof BoardSummary>

export const BoardList = Type.Object({ boards: Type.Array(BoardSummary) })
export type BoardList = Static<typeof BoardList>

/** Core's board profile, whole: it is public, firmware included. */
export const Board = Type.Unsafe<BoardProfile>(
  Type.Object({ id: Type.String(), title: Type.String(), clockHz: Type.Integer() }, { additionalProperties: true }),
)
export type Board = BoardProfile

export const BoardParams = Type.Object({ boardId: Id })
export type BoardParams = Static<typeof BoardParams>
