import { BackupFault } from '../backup/document.ts'
import type { Progress, Watch } from '../backup/progress.ts'
import { CommandProblem } from './output.ts'

/**
 * Runs work of an operator that may take long: its progress goes to standard error, Ctrl-C and SIGTERM stop it, and what is
 * wrong with a backup is told as any other fault. `stopped` says what holds then.
 */
export async function operatorWork<T>(stopped: string, work: (watch: Required<Watch>) => Promise<T>): Promise<T> {
  const stopping = new AbortController()
  const stop = (): void => stopping.abort(new CommandProblem('stopped', `Stopped. ${stopped}`))
  process.on('SIGINT', stop)
  process.on('SIGTERM', stop)
  try {
    return await work({ signal: stopping.signal, onProgress: progressLine() })
  } catch (error) {
    if (stopping.signal.aborted) throw stopping.signal.reason
    if (error instanceof BackupFault) throw new CommandProblem('bad-backup', error.message)
    throw error
  } finally {
    process.off('SIGINT', stop)
    process.off('SIGTERM', stop)
  }
}

/** One line for each table: on a terminal it counts, elsewhere it is written when the table is done. */
function progressLine(): (progress: Progress) => void {
  const isTerminal = process.stderr.isTTY
  let told = 0
  return ({ table, done, rows }) => {
    const isDone = done === rows
    if (rows === 0 || (!isDone && (!isTerminal || Date.now() - told < 100))) return
    told = Date.now()
    const line = `${table}: ${done} of ${rows}`
    process.stderr.write(isTerminal ? `\r${line}${isDone ? '\n' : ''}` : `${line}\n`)
  }
}

/** `12 people, 3 courses …` of what a backup holds. */
export function countsOf(tables: readonly { readonly table: string; readonly rows: number }[]): string {
  const rows = tables.reduce((sum, each) => sum + each.rows, 0)
  const of = (name: string): number => tables.find(({ table }) => table === name)?.rows ?? 0
  return `${of('User')} people, ${of('Submission')} hand-ins, ${rows} rows in ${tables.length} tables`
}
