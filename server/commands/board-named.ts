import { existsSync } from 'node:fs'
import { validateProfile, type BoardProfile } from '../../core/board/index.ts'
import { boards } from '../engine.ts'
import { readText } from './input.ts'
import { CommandProblem } from './output.ts'

/** A board by its id, or by the file of its profile (JSON). */
export function boardNamed(named: string): BoardProfile {
  const known = boards.get(named)
  if (known !== undefined) return known
  if (!existsSync(named))
    throw new CommandProblem(
      'board-unknown',
      `There is no board ${named}; wanted is one of ${[...boards.keys()].join(', ')}, or the file of a profile.`,
    )
  let data: unknown
  try {
    data = JSON.parse(readText(named))
  } catch (error) {
    throw new CommandProblem('board-wrong', `${named} is no JSON: ${(error as Error).message}`)
  }
  const read = validateProfile(data)
  if ('profile' in read) return read.profile
  const lines = read.problems.map(({ path, message }) => `\n${named}: ${path.join('.')}: ${message}`)
  throw new CommandProblem('board-wrong', `${named} is no board profile:${lines.join('')}`)
}
