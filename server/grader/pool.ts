import { Piscina } from 'piscina'
import { extname } from 'node:path'
import { MessageChannel, type MessagePort } from 'node:worker_threads'
import type { Report } from '../contract/index.ts'
import type { DiagnoseResult, DiagnoseTask, GradeInputs, GradeProgress, GraderMessage, GradeTask } from './task.ts'

/** Grader threads. Each works on one program at a time with core alone. */
export interface GraderPool {
  readonly size: number
  grade(inputs: GradeInputs, onProgress: (progress: GradeProgress) => void): Promise<Report>
  /** Looks for causes; `aside` set to 1 makes it leave off soon. */
  diagnose(
    inputs: GradeInputs & { readonly report: Report },
    aside: Int32Array<SharedArrayBuffer>,
  ): Promise<DiagnoseResult>
  /** Starts every thread and has the engine compiled, so that the first hand-in of the day is quick. */
  warm(): Promise<void>
  close(): Promise<void>
}

export interface PoolOptions {
  readonly size: number
  /** After so long a thread is stopped and its program given back; a grading has a budget of T-states and ends before. */
  readonly wallSeconds: number
  readonly onError: (error: unknown) => void
  /** Another worker file, for tests of what happens when a grader dies. */
  readonly workerFile?: string
}

/** A thread was stopped by the clock. */
export class OutOfTime extends Error {
  constructor(seconds: number) {
    super(`The grader was stopped after ${seconds} s.`)
    this.name = 'OutOfTime'
  }
}

export function openPool(options: PoolOptions): GraderPool {
  // Sources under tsx and the test runner, compiled files in production; the worker lies beside this file in both.
  const extension = extname(new URL(import.meta.url).pathname)
  const filename = options.workerFile ?? new URL(`./worker${extension}`, import.meta.url).href
  const pool = new Piscina({
    filename,
    execArgv: extname(new URL(filename).pathname) === '.ts' ? ['--import', 'tsx'] : [],
    minThreads: options.size,
    maxThreads: options.size,
    idleTimeout: Infinity,
    concurrentTasksPerWorker: 1,
    resourceLimits: { maxOldGenerationSizeMb: 256 },
  })
  pool.on('error', options.onError)

  async function run(
    task: (port: MessagePort) => GradeTask | DiagnoseTask,
    onProgress: (progress: GradeProgress) => void,
  ): Promise<unknown> {
    const { port1, port2 } = new MessageChannel()
    const stop = new AbortController()
    let fault: Error | null = null
    // Stopping kills the thread, whatever it is doing; the pool starts a fresh one in its place.
    const give = (up: Error): void => {
      fault ??= up
      stop.abort()
    }
    const timer = setTimeout(() => give(new OutOfTime(options.wallSeconds)), options.wallSeconds * 1000)
    port1.on('message', (message: GraderMessage) => {
      if (message.kind === 'progress') onProgress(message.progress)
      else give(Object.assign(new Error(message.message), { stack: message.stack }))
    })
    try {
      return await pool.run(task(port2), { signal: stop.signal, transferList: [port2] })
    } catch (error) {
      throw fault ?? error
    } finally {
      clearTimeout(timer)
      port1.close()
    }
  }

  return {
    size: options.size,
    grade: async (inputs, onProgress) =>
      (await run((port) => ({ ...inputs, kind: 'grade', port }), onProgress)) as Report,
    diagnose: async (inputs, aside) =>
      (await run(
        (port) => ({ ...inputs, kind: 'diagnose', aside, port }),
        () => {},
      )) as DiagnoseResult,
    warm: async () => {
      await Promise.all(Array.from({ length: options.size }, () => pool.run(null)))
    },
    close: () => pool.destroy(),
  }
}
