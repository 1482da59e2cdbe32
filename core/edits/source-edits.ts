import type { Program, ReadOptions } from '../assembler/index.ts'
import { Editable, type SourceEdit } from './editable.ts'
import { changesOf } from './operand-changes.ts'

/**
 * Every edit of a single instruction that still assembles: an operand one or two more or less, the condition flipped,
 * another register, `n` for `(n)` and back, the instruction left out, two neighbours the wrong way round. The images that
 * an edit of one byte gives too are among them.
 */
export function* sourceEdits(program: Program, options: ReadOptions): Generator<SourceEdit> {
  const editable = Editable.of(program, options)
  if (editable === null) return
  for (const [i, instruction] of editable.instructions.entries()) {
    for (const { kind, wouldBe } of changesOf(instruction)) {
      const edit = editable.changed(i, kind, wouldBe)
      if (edit !== null) yield edit
    }
    const exchanged = editable.exchanged(i)
    if (exchanged !== null) yield exchanged
  }
}
