export type { Image, Segment } from './image.ts'
export type { Place, Problem } from './problem.ts'
export { ProblemList, startOfText, type ProblemText } from './problem-list.ts'
export { textLines } from './text-lines.ts'
export { byteDigits, showByte, showCharacter, showCount, showRange, showWord, wordDigits } from './digits.ts'
export {
  byteAt,
  imageRange,
  imageSize,
  isSameImage,
  makeImage,
  mergeImages,
  type AddressRange,
  type Piece,
} from './make-image.ts'
export { imageFromBinary, imageToBinary } from './binary.ts'
export { imageDigest, sha256 } from './digest.ts'
export { bytesPerKeyingLine, checkBytes, type CheckBytes } from './check-bytes.ts'
export { Loader, type LoadLimits, type ReservedRange } from './loader.ts'
export type { ImageReading, LoadedLine } from './reading.ts'
export { hexDumpLine, parseHexDump, writeHexDump, type HexDumpOptions, type HexDumpStyle } from './hex-dump.ts'
export { parseIntelHex, writeIntelHex, type IntelHexStyle } from './intel-hex.ts'
export { debatable } from './intel-hex-debatable.ts'
export { readIntelHexRecord, type IntelHexRecord } from './intel-hex-record.ts'
