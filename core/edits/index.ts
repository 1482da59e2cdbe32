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
export { sourceEdits, type SourceEdit, type SourceEditKind } from './source-edits.ts'
export { operationText, sourceTextOf, type SourceInstruction, type SourceText } from './source-text.ts'
