import type { Problem } from '../../core/image/index.ts'

/** What a command was given and cannot use: printed as text or as one JSON document, exit code 2. */
export class CommandProblem extends Error {
  readonly code: string
  /** What the JSON document says beside code and message. */
  readonly details: Readonly<Record<string, unknown>>
  constructor(code: string, message: string, details: Readonly<Record<string, unknown>> = {}) {
    super(message)
    this.code = code
    this.details = details
  }
}

/** One JSON document on standard output and nothing else. */
export function printJson(value: unknown): void {
  process.stdout.write(`${JSON.stringify(value, null, 2)}\n`)
}

/** Problems of a text, one a line, the way compilers print them: `file:line:column: error: message`. */
export function printProblems(file: string, problems: readonly Problem[]): void {
  for (const problem of problems)
    process.stderr.write(`${file}:${problem.at.line}:${problem.at.column}: ${problem.severity}: ${problem.message}\n`)
}

/** Upper-case hexadecimal without a suffix, padded to `digits`. */
export function hex(value: number, digits: number): string {
  return value.toString(16).toUpperCase().padStart(digits, '0')
}
