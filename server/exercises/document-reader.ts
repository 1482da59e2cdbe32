import { fork, type ChildProcess } from 'node:child_process'
import { extname } from 'node:path'
import { fileURLToPath } from 'node:url'
import { ApiError } from '../errors.ts'
import type { RevisionData } from '../store/exercises.ts'
import { documentError, readDocument, readExerciseText, revisionOf, type WrongDocument } from './document.ts'

/** Reads the texts of exercises that people send. */
export interface DocumentReader {
  /** What is stored of an exercise; throws one coded error with all mistakes in it, or with what it took too much of. */
  read(source: string): Promise<RevisionData>
  close(): Promise<void>
}

/** What the process gives back. */
export type ReadRevision = { readonly isOk: true; readonly revision: RevisionData } | WrongDocument

/** What the process does with a text. */
export function readRevision(source: string): ReadRevision {
  const read = readExerciseText(source)
  return read.isOk ? { isOk: true, revision: revisionOf(read.exercise, source) } : read
}

/** Reads in this thread: for texts that are trusted, and for tests. */
export const readerInThread: DocumentReader = {
  read: async (source) => readDocument(source).revision,
  close: async () => {},
}

export interface ReaderOptions {
  readonly onError: (error: unknown) => void
  /** Seconds from the beginning of the work on a text, default 5; an exercise of the demo course takes a fiftieth of one. */
  readonly seconds?: number
  /** Megabytes of objects that the process may hold, default 128. */
  readonly megabytes?: number
}

/** Texts that may wait for their turn; more are refused. */
const mostWaiting = 20
/** An idle process ends after so long. */
const idleMs = 60_000

/**
 * Reads in a process of its own, with a limit of time and memory: whoever may write exercises must not be able to hold up the
 * server. A process and no thread, for V8 ends all of a process when one thread finds no memory at an unlucky place. It
 * starts when it is first needed, reads one text at a time, and ends when it was idle for a while.
 */
export function openDocumentReader({ onError, seconds = 5, megabytes = 128 }: ReaderOptions): DocumentReader {
  let child: ChildProcess | null = null
  let idle: NodeJS.Timeout | null = null
  let last: Promise<unknown> = Promise.resolve()
  let waiting = 0

  function running(): ChildProcess {
    if (idle !== null) clearTimeout(idle)
    if (child !== null) return child
    const extension = extname(new URL(import.meta.url).pathname)
    const started = fork(fileURLToPath(new URL(`./document-process${extension}`, import.meta.url)), {
      execArgv: [`--max-old-space-size=${megabytes}`, ...(extension === '.ts' ? ['--import', 'tsx'] : [])],
      // Nothing of what the server knows: no address of a database, no secret.
      env: {},
      stdio: ['ignore', 'ignore', 'ignore', 'ipc'],
    })
    started.on('error', onError)
    started.once('exit', () => {
      if (child === started) child = null
    })
    child = started
    return started
  }

  function stop(): void {
    if (idle !== null) clearTimeout(idle)
    child?.kill('SIGKILL')
    child = null
  }

  async function readNow(source: string): Promise<RevisionData> {
    const reader = running()
    let resolve: (outcome: ReadRevision | 'late' | 'gone' | 'faulted') => void = () => {}
    const promise = new Promise<ReadRevision | 'late' | 'gone' | 'faulted'>((fulfil) => {
      resolve = fulfil
    })
    let timer: NodeJS.Timeout | null = null
    const hear = (message: 'begun' | ReadRevision): void => {
      // The time that a process takes to start is not the text's.
      if (message === 'begun') timer = setTimeout(() => resolve('late'), seconds * 1000)
      else resolve(message)
    }
    // Node ends with code 1 after a mistake of the program; without memory V8 aborts.
    const leave = (code: number | null): void => resolve(code === 1 ? 'faulted' : 'gone')
    reader.on('message', hear)
    reader.once('exit', leave)
    reader.send(source)
    const read = await promise
    if (timer !== null) clearTimeout(timer)
    reader.off('message', hear)
    reader.off('exit', leave)
    if (read === 'late') {
      stop()
      throw new ApiError('exercise-document-too-much', `It took more than ${seconds} s.`)
    }
    if (read === 'faulted') throw new Error('The process that reads exercises ended with a fault.')
    if (read === 'gone') throw new ApiError('exercise-document-too-much', `It took more than ${megabytes} MB.`)
    idle = setTimeout(stop, idleMs)
    idle.unref()
    return taken(read)
  }

  return {
    read: async (source) => {
      if (waiting >= mostWaiting) throw new ApiError('too-many-requests', undefined, { retryAfter: 5 })
      waiting += 1
      const turn = last.then(() => readNow(source))
      last = turn.catch(() => {})
      try {
        return await turn
      } finally {
        waiting -= 1
      }
    },
    close: async () => stop(),
  }
}

function taken(read: ReadRevision): RevisionData {
  if (!read.isOk) throw documentError(read)
  return read.revision
}
