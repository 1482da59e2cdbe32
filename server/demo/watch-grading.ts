import type { FastifyInstance } from 'fastify'

export interface GradingWatch {
  /** Resolves when all of them have a report; prints how far they are. */
  until(submissionIds: readonly string[]): Promise<void>
}

/** Begun before the first hand-in, so that none is missed. */
export function watchGrading(app: FastifyInstance, out: NodeJS.WriteStream): GradingWatch {
  const done = new Set<string>()
  let onChange: (() => void) | null = null
  const stop = app.news.on((news) => {
    if (news.kind !== 'submission-graded' && news.kind !== 'submission-fault') return
    done.add(news.submissionId)
    onChange?.()
  })
  return {
    until: async (submissionIds) => {
      const began = Date.now()
      const count = (): number => submissionIds.filter((id) => done.has(id)).length
      const line = (): string => `Grading the class: ${count()} of ${submissionIds.length}`
      await new Promise<void>((resolve) => {
        onChange = () => {
          if (out.isTTY) out.write(`\r${line()}`)
          if (count() === submissionIds.length) resolve()
        }
        onChange()
      })
      stop()
      out.write(`${out.isTTY ? '\r' : ''}${line()}, ${((Date.now() - began) / 1000).toFixed(1)} s\n`)
    },
  }
}
