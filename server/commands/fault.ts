import { CommanderError } from 'commander'
import { startLine } from '../start-fault.ts'
import { CommandProblem } from './output.ts'

/** Why a command could not do what it was asked for. */
export interface Fault {
  /** Stable kebab-case name. */
  readonly code: string
  /** One sentence; a file with several mistakes has one more line for each. */
  readonly message: string
  readonly details: Readonly<Record<string, unknown>>
}

/** Whatever was thrown, as the fault it is. What nobody foresaw is a mistake of ours, and is told as one. */
export function faultOf(error: unknown): Fault {
  if (error instanceof CommandProblem) return { code: error.code, message: error.message, details: error.details }
  const cannotStart = startLine(error)
  if (cannotStart !== null) return { code: 'cannot-start', message: cannotStart, details: {} }
  if (error instanceof CommanderError) {
    const found = error.message.replace(/^error: /, '').replaceAll('\n', ' ')
    return { code: 'bad-command', message: `${found} (hexcairn --help lists the commands)`, details: {} }
  }
  const said = error instanceof Error ? `${error.name}: ${error.message}` : String(error)
  return {
    code: 'internal-error',
    message: `A mistake of Hexcairn's own (${said.replace(/\s+/g, ' ').slice(0, 200)}). Please report it with this command and its files.`,
    details: {},
  }
}
