import { benchEight, type BoardProfile } from '../core/board/index.ts'

export { engineVersion, grade, studentReport } from '../core/grading/index.ts'

/** The boards of this installation, by id. */
export const boards: ReadonlyMap<string, BoardProfile> = new Map([[benchEight.id, benchEight]])
