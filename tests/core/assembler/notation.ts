import { assemble, type Program, type ReadOptions } from '../../../core/assembler/index.ts'

/** Assembles at 0000h unless told otherwise; `|` parts lines, as in the reference table of dialects. */
export function run(source: string, options: Partial<ReadOptions> = {}): Program {
  return assemble(source.split('|').join('\n'), { origin: 0, ...options })
}

/** `3E05`, or `3E05 4000=76` where a segment does not begin at 0000h. */
export function bytes({ image }: Program): string {
  return image.segments
    .map(({ start, bytes }) => {
      const digits = Buffer.from(bytes).toString('hex').toUpperCase()
      return start === 0 ? digits : `${start.toString(16).toUpperCase().padStart(4, '0')}=${digits}`
    })
    .join(' ')
}

/** The bytes, or `error`, as the table of dialects says it. */
export function outcome(source: string): string {
  const program = run(source)
  return program.isOk ? bytes(program) : 'error'
}

/** `2:4 not-defined`: place and code of each problem. */
export function problems(program: Program): string[] {
  return program.problems.map(({ at, code }) => `${at.line}:${at.column} ${code}`)
}

/** All messages of a source, for those that have one. */
export function messages(source: string): string[] {
  return run(source).problems.map(({ message }) => message)
}
