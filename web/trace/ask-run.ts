import type { Trace } from '../../server/contract/index.ts'
import type { Answer, TraceQuestion } from './model/question.ts'
import type { TraceLink } from './worker/link.ts'
import { startTraceWorker } from './worker/start.ts'

/** Runs one case of a hand-in again, in a worker of its own, and puts one question to it. Given up, it ends the worker. */
export async function askRun(
  trace: Pick<Trace, 'program' | 'board' | 'exercise' | 'seed'>,
  caseId: string,
  question: TraceQuestion,
  signal: AbortSignal,
  start: () => TraceLink = startTraceWorker,
  startNumber?: number,
): Promise<Answer> {
  const { board, exercise, seed, program } = trace
  const link = start()
  const close = (): void => link.close()
  signal.addEventListener('abort', close, { once: true })
  try {
    await link.ask('open', {
      subject: { text: program.text, format: program.format, board, exercise, caseId, seed, start: startNumber },
    })
    const { answer } = await link.ask('ask', { question })
    return answer
  } finally {
    signal.removeEventListener('abort', close)
    link.close()
  }
}
