import { extname } from 'node:path'
import { formatListing, readProgram, type Program } from '../../core/assembler/index.ts'
import { imageSize, imageToBinary, writeHexDump, writeIntelHex } from '../../core/image/index.ts'
import { boardNamed } from './board-named.ts'
import { readText } from './input.ts'
import { OutputFiles } from './output-file.ts'
import { hex, printJson, printProblems } from './output.ts'
import { readOptionsOf } from './program-file.ts'

export interface AssembleOptions {
  readonly listing?: boolean
  readonly out?: string
  readonly board: string
  readonly json?: boolean
}

/** `hexcairn assemble`: 0 when the text has no mistake, 2 when it has; what it says of warnings changes nothing. */
export function assembleCommand(file: string, options: AssembleOptions): number {
  // Any address may be assembled for; only a board's own checks care where RAM is.
  const { origin, symbols } = readOptionsOf(boardNamed(options.board))
  const limits = { origin, maxBytes: 0x10000, ...(symbols === undefined ? {} : { symbols }) }
  const program = readProgram({ format: 'assembly', text: readText(file) }, limits)
  if (program.isOk && options.out !== undefined)
    new OutputFiles([file]).write(options.out, imageFile(options.out, program))
  if (options.json === true) {
    printJson(programJson(program))
  } else {
    if (options.listing === true) process.stdout.write(formatListing(program))
    else if (program.isOk && options.out === undefined) process.stdout.write(writeHexDump(program.image))
    printProblems(file, program.problems)
    if (program.isOk && options.out !== undefined)
      process.stderr.write(`${options.out}: ${imageSize(program.image)} bytes, starts at ${hex(program.entry, 4)}\n`)
  }
  return program.isOk ? 0 : 2
}

/** A program as plain JSON: addresses and values are numbers, bytes hexadecimal text. */
export function programJson(program: Program): unknown {
  const { isOk, format, entry, image, listing, symbols, problems } = program
  const segments = image.segments.map(({ start, bytes }) => ({ start, hex: Buffer.from(bytes).toString('hex') }))
  return { isOk, format, entry, bytes: imageSize(image), segments, symbols, listing, problems }
}

/** The file's ending says how: `.hex` and `.ihx` Intel HEX, `.bin` the bytes alone, anything else a hex dump. */
function imageFile(file: string, program: Program): string | Uint8Array {
  const ending = extname(file).toLowerCase()
  if (ending === '.bin') return imageToBinary(program.image)
  const isIntel = ['.hex', '.ihx', '.ihex'].includes(ending)
  return isIntel ? writeIntelHex(program.image, { start: program.entry }) : writeHexDump(program.image)
}
