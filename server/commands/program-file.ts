import { extname } from 'node:path'
import {
  detectFormat,
  readProgram,
  type Program,
  type ProgramFormat,
  type ReadOptions,
} from '../../core/assembler/index.ts'
import type { BoardProfile } from '../../core/board/index.ts'
import { imageFromBinary, writeHexDump, type Image } from '../../core/image/index.ts'
import { readBytes } from './input.ts'
import { CommandProblem, hex } from './output.ts'

/** A program as text, and how to read it: assembly by its ending, all else by its looks; `.bin` becomes a hex dump. */
export interface ProgramText {
  readonly format: ProgramFormat
  readonly text: string
}

export function readProgramText(file: string, origin: number): ProgramText {
  const bytes = readBytes(file)
  const ending = extname(file).toLowerCase()
  if (ending === '.bin') return { format: 'hex', text: writeHexDump(binaryImage(file, bytes, origin)) }
  const text = bytes.toString('utf8')
  return { format: ['.asm', '.s', '.z80'].includes(ending) ? 'assembly' : detectFormat(text), text }
}

function binaryImage(file: string, bytes: Buffer, origin: number): Image {
  const most = 0x10000 - origin
  if (bytes.length > most)
    throw new CommandProblem(
      'file-too-large',
      `${file} has ${bytes.length} bytes; from ${hex(origin, 4)}h up to FFFFh there is room for ${most}.`,
    )
  return imageFromBinary(bytes, origin)
}

/** What a board knows beforehand: where programs stand, the names of its routines, where RAM is. */
export function readOptionsOf(profile: BoardProfile): ReadOptions {
  return {
    origin: profile.layout.program,
    symbols: Object.fromEntries(profile.firmware.routines.map(({ name, address }) => [name, address])),
    allowed: profile.memory.filter(({ kind }) => kind === 'ram').map(({ from, to }) => ({ from, to })),
  }
}

export function readProgramFile(file: string, options: ReadOptions): Program {
  return readProgram(readProgramText(file, options.origin), options)
}
