import { textOf } from './tram-depot.ts'

/** A sentence of a task, as it stands in the brief, and what holds a hand-in to it. */
export interface TaskSentence {
  readonly sentence: string
  /** Ids of checks; none where the sentence tells something and asks for nothing. */
  readonly checks: readonly string[]
}

/** The table in an exercise's `readme.md`: `| sentence | check, check |`, or `tells` in place of the checks. */
export function taskTable(folder: string): readonly TaskSentence[] {
  const rows = textOf(folder, 'readme.md')
    .split('\n')
    .filter((line) => line.startsWith('| '))
    .slice(1)
    .map((line) => line.split('|').map((cell) => cell.trim()))
    .filter((cells) => !/^-+$/.test(cells[1] ?? ''))
  return rows.map(([, sentence = '', checks = '']) => ({
    sentence,
    checks: checks === 'tells' ? [] : checks.split(/, */).map((id) => id.replaceAll('`', '')),
  }))
}

/** The sentences of a brief. Lines set apart by four blanks or more belong to the sentence before them. */
export function sentencesOf(brief: string): readonly string[] {
  return brief
    .split('\n')
    .map((line) => (/^ {4}/.test(line) ? '' : line))
    .join('\n')
    .split(/\n\s*\n/)
    .flatMap((paragraph) =>
      paragraph
        .replace(/\s+/g, ' ')
        .trim()
        .split(/(?<=[.!?:]) (?=[A-Z0-9])/),
    )
    .filter((sentence) => sentence !== '')
}
