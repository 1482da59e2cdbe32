import { benchEight } from '../../../core/board/index.ts'
import { addressesOf, likelyReplacements } from '../../../core/edits/byte-edits.ts'
import { editedImage } from '../../../core/edits/edit.ts'
import { sourceEdits } from '../../../core/edits/source-edits.ts'
import { madeProgram } from '../../../core/trial/made-program.ts'
import { disassembleAt } from '../../../core/disassembler/index.ts'
import { exerciseFor, modelProgram, readOptionsFor, type Exercise } from '../../../core/exercise/index.ts'
import { gradeProgram, type Report } from '../../../core/grading/index.ts'
import { byteAt, imageDigest, showWord, type Image } from '../../../core/image/index.ts'
import { Random, type RunEnd } from '../../../core/run/index.ts'

/** A model answer with one instruction or one byte of it wrong. */
export interface Slip {
  /** What was done: an operand one or two off, another register, an instruction left out …; `byte`: one byte misread. */
  readonly kind: string
  /** `4003h DJNZ NEXT -> left out`. */
  readonly words: string
  readonly image: Image
}

/** What a slip got. */
export interface GradedSlip {
  readonly slip: Slip
  readonly score: number
  /** How the run of the first case ended. */
  readonly end: RunEnd['kind'] | 'not run'
  readonly report: Report
}

/** Keying slips tried of each byte: the likeliest. */
const likeliest = 6

/** Every slip in the model answer that students with this seed should have written; no image twice. */
export function slipsOf(written: Exercise, seed = 0): readonly Slip[] {
  const exercise = exerciseFor(written, seed)
  const model = modelProgram(exercise, benchEight)
  if (model === null) throw new Error('slips are made from a model answer')
  const seen = new Set([imageDigest(model.image)])
  const slips: Slip[] = []
  const add = (kind: string, words: string, image: Image): void => {
    const digest = imageDigest(image)
    if (seen.has(digest)) return
    seen.add(digest)
    slips.push({ kind, words, image })
  }
  const options = readOptionsFor(exercise, benchEight)
  for (const { kind, at, found, wouldBe, image } of sourceEdits(model, options)) {
    add(kind, `${showWord(at)} ${found} -> ${wouldBe ?? 'left out'}`, image)
  }
  const perByte = new Map<number, number>()
  for (const edit of likelyReplacements(model.image, addressesOf(model.image))) {
    const tried = perByte.get(edit.at) ?? 0
    const image = editedImage(model.image, edit)
    if (tried >= likeliest || image === null || edit.kind !== 'replace') continue
    perByte.set(edit.at, tried + 1)
    const text = disassembleAt((address) => byteAt(image, address) ?? 0, edit.at).text
    const [from, to] = [edit.found, edit.wouldBe].map((value) => value.toString(16).padStart(2, '0').toUpperCase())
    add('byte', `${showWord(edit.at)} ${from} -> ${to} (${text})`, image)
  }
  return slips
}

/** At most `most` of them, drawn with a printed seed, in their old order. */
export function drawnSlips(slips: readonly Slip[], most: number, seed: number): readonly Slip[] {
  const random = new Random(seed)
  const left = slips.map((_, i) => i)
  const taken = new Set<number>()
  while (taken.size < most && left.length > 0) taken.add(left.splice(random.under(left.length), 1)[0] ?? 0)
  return slips.filter((_, i) => taken.has(i))
}

/** Grades a slip as a hand-in; null where it gets full marks, so that it is no mistake. */
export function gradedSlip(written: Exercise, slip: Slip, seed = 0): GradedSlip | null {
  const exercise = exerciseFor(written, seed)
  const model = modelProgram(exercise, benchEight)
  const options = readOptionsFor(exercise, benchEight)
  const program = madeProgram(slip.image, model?.entry ?? 0, options)
  const report = gradeProgram(program, written, benchEight, { seed })
  if (report.isFullMarks) return null
  return { slip, score: report.score, end: report.cases[0]?.end.kind ?? 'not run', report }
}
