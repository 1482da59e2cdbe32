import type { NewsRoom } from '../plugins/news.ts'

export interface ReportEar {
  /** True when the report of the submission is there, false when the time is up. */
  hears(submissionId: string, seconds: number): Promise<boolean>
  close(): void
}

/** Listens from now on; opened before the hand-in is written, so that no end is missed. */
export function openEar(news: NewsRoom): ReportEar {
  const ended = new Set<string>()
  let onEnd: (() => void) | null = null
  const stop = news.on((item) => {
    if (item.kind !== 'submission-graded' && item.kind !== 'submission-fault') return
    ended.add(item.submissionId)
    onEnd?.()
  })
  return {
    close: stop,
    hears: (submissionId, seconds) =>
      new Promise((resolve) => {
        const timer = setTimeout(() => resolve(false), seconds * 1000)
        onEnd = () => {
          if (!ended.has(submissionId)) return
          clearTimeout(timer)
          resolve(true)
        }
        onEnd()
      }),
  }
}
