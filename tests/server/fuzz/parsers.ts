import type fc from 'fast-check'
import { readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { readProgram, type ProgramFormat } from '../../../core/assembler/index.ts'
import { readSession } from '../../../core/exports/index.ts'
import { writeIntelHex } from '../../../core/image/index.ts'
import { compareDump } from '../../../core/sheets/index.ts'
import { readExerciseText } from '../../../server/exercises/document.ts'
import { strangePlaces } from '../../../server/plain-text.ts'
import { waitPreferred } from '../../../server/submissions/prefer.ts'
import { folders, textOf } from '../../core/exercise/tram-depot.ts'
import { rightProgram, sumYaml } from '../sample.ts'
import { anyText } from './texts.ts'

/** Something that reads what people send, and texts to try it with. It never throws for what stands in them. */
export interface Parser {
  readonly name: string
  readonly texts: fc.Arbitrary<string>
  read(text: string): unknown
}

const answers = join(import.meta.dirname, '../../fixtures/answers')
const programs = readdirSync(answers)
  .flatMap((folder) => readdirSync(join(answers, folder)).map((file) => join(answers, folder, file)))
  .filter((file) => file.endsWith('.asm'))
  .filter((_, i) => i % 10 === 0)
  .map((file) => readFileSync(file, 'utf8'))
const origin = { origin: 0x4000 }
const program = readProgram({ format: 'assembly', text: programs[0] ?? '' }, origin)
const session = `{"format":"hexcairn-session/1","title":"Bell","board":"bench-8","program":{"format":"hex","text":"3E 05 76"},
"start":{"registers":{"a":1},"memory":[{"at":17920,"bytes":[255,0]}],"fill":{"seed":7},"budget":1000},"notes":[]}`

const ofPrograms = {
  assembly: [
    ...[
      'LD A,',
      ' DJNZ $\n',
      'X: MACRO\n X\n ENDM\n',
      ' REPT 65535\n',
      ' ENDR\n',
      ' DS 65535\n',
      ' ORG 0FFFFH\n',
      ' X\n',
    ],
    ...[
      '(1+',
      '1<<63',
      "'A'",
      ' IF 1\n',
      ' ELSE\n',
      'A EQU B\nB EQU A\n',
      ' DB "x",',
      ' NOP\n',
      'L1:',
      '-',
      ' INCLUDE "x"\n',
    ],
  ],
  hex: ['4000: ', '3E', '3', 'ZZ', ' S=4F W=E1', '; x', 'FFFF: 00 00', '4000', '\n'],
  'intel-hex': [':', ':10', 'FFFFFFFF', '\n:00000001FF', ':02000004FFFFFC', ':0400000500004000B7', '\n'],
} as const

function programParser(format: ProgramFormat, right: readonly string[]): Parser {
  const texts = anyText(right, ofPrograms[format])
  return { name: format, texts, read: (text) => readProgram({ format, text }, origin) }
}

const dumps = [rightProgram.text, '4000: 3E 05 06 03 S=4C W=9A\n4004: 80 10 FD 76']

/** Every parser that something from outside reaches, but for those of requests. */
export const parsers: readonly Parser[] = [
  programParser('assembly', programs),
  programParser('hex', dumps),
  programParser('intel-hex', [writeIntelHex(program.image), ':00000001FF\n']),
  {
    name: 'a program of unknown form',
    texts: anyText([...programs, ...dumps], [...ofPrograms.hex, ...ofPrograms['intel-hex'], ...ofPrograms.assembly]),
    read: (text) => readProgram({ format: 'auto', text }, origin),
  },
  {
    name: 'an exercise document',
    // Longer ones are read in a process of their own with limits of time and memory; the demo course's have up to 13 KB.
    texts: anyText(
      [sumYaml, ...folders.slice(0, 4).map((folder) => textOf(folder, 'exercise.yaml'))],
      ['- ', 'cases:', 'checks:\n', '{ a: ', '[', '&a [*a]', '!!binary x', '? ', '|\n', "'$total'", 'want: ', '\n  '],
    ).map((text) => text.slice(0, 4_000)),
    read: (text) => readExerciseText(text),
  },
  {
    name: 'a session file',
    texts: anyText([session], ['{"a":', '[', '"at":1e9', '"bytes":[', 'null,', '"format":']),
    read: readSession,
  },
  {
    name: 'a memory dump beside its program',
    texts: anyText(dumps, ofPrograms.hex),
    read: (text) => compareDump(text, program),
  },
  {
    name: 'a Prefer header',
    texts: anyText(['wait=20', 'respond-async, wait="5";x=1'], ['wait', '=', ',', ';', '"']),
    read: waitPreferred,
  },
  {
    name: 'plain text',
    texts: anyText(['Sam Tran', 'Nguyễn · می‌خواهم · 👩‍🔧'], ['\u200D', '\u200C', '\u0301', '👩', 'ب']),
    read: (text) => strangePlaces({ a: [text] }, { isOneLine: true }),
  },
]
