import { parse } from 'yaml'
import { benchEight } from '../../../core/board/index.ts'
import { parseExercise } from '../../../core/exercise/index.ts'
import type { TraceSubject } from '../../../web/trace/worker/protocol.ts'

const texts = import.meta.glob<string>('../../../prisma/seed/tram-depot/*/*.{yaml,asm,hex}', {
  query: '?raw',
  import: 'default',
  eager: true,
})

/** A hand-in to an exercise of the demo course: `handIn('C1', 'model.asm')`. */
export function handIn(code: string, file: string, caseId?: string): TraceSubject {
  const folder = `../../../prisma/seed/tram-depot/${code}/`
  const files = Object.fromEntries(
    Object.entries(texts).flatMap(([path, text]) =>
      path.startsWith(folder) ? [[path.slice(folder.length), text]] : [],
    ),
  )
  const { exercise } = parseExercise(parse(files['exercise.yaml'] ?? ''), files)
  if (exercise === null) throw new Error(`${code} does not parse`)
  return {
    text: files[file] ?? '',
    format: file.endsWith('.hex') ? 'hex' : 'assembly',
    board: benchEight,
    exercise,
    seed: 0,
    caseId: caseId ?? exercise.cases[0]?.id ?? '',
  }
}
