import { ConfigFault } from './config.ts'
import { DatabaseFault } from './store/database-fault.ts'
import { FolderInUse } from './store/folder-lock.ts'

/** Why a server did not start, in one line for whoever started it. */
export class StartFault extends Error {
  constructor(message: string) {
    super(message)
    this.name = 'StartFault'
  }
}

/** The line for a failure that has a simple reason; null for a mistake of the program. */
export function startLine(error: unknown): string | null {
  if (error instanceof StartFault || error instanceof ConfigFault || error instanceof DatabaseFault)
    return error.message
  if (error instanceof FolderInUse)
    return `${error.message} Stop that one, or choose another folder with --data or HEXCAIRN_DATA.`
  return null
}
