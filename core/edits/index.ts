export {
  addressesOf,
  insertions,
  likelyBytes,
  likelyReplacements,
  removals,
  replacements,
  swaps,
} from './byte-edits.ts'
export { editedImage, type ByteEdit } from './edit.ts'
export type { SourceEdit, SourceEditKind } from './editable.ts'
export { sourceEdits } from './source-edits.ts'
export { isOneSlipFrom } from './one-slip.ts'
export { operationText, sourceTextOf, type SourceInstruction, type SourceText } from './source-text.ts'
export { likelyEdits, type LikelyEdit } from './likely-edits.ts'
export { candidateCount, candidates, type Candidate } from './candidates.ts'
