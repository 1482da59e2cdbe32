import { describe, expect, test } from 'vitest'
import { RunQuestion } from '../../../web/state/RunQuestion.svelte.ts'

const answer = { sentence: 'It was added.', rows: [], foot: null, caseId: null }

describe('a question to a run', () => {
  test('is put once, however often it is asked', async () => {
    let put = 0
    const asked = new RunQuestion(async () => {
      put += 1
      return answer
    })
    const first = asked.ask()
    expect(asked.isBusy).toBe(true)
    await Promise.all([first, asked.ask()])
    await asked.ask()
    expect([put, asked.isBusy, asked.answer]).toEqual([1, false, answer])
  })

  test('stopped, is at rest at once; an answer that comes after all is not shown, and it can be asked again', async () => {
    const signals: AbortSignal[] = []
    const answers: (() => void)[] = []
    const asked = new RunQuestion((signal) => {
      signals.push(signal)
      return new Promise((resolve) => answers.push(() => resolve(answer)))
    })
    const first = asked.ask()
    asked.stop()
    expect([asked.isBusy, signals[0]?.aborted]).toEqual([false, true])
    const second = asked.ask()
    answers[0]?.()
    await first
    expect([asked.isBusy, asked.answer, asked.isFaulty]).toEqual([true, null, false])
    answers[1]?.()
    await second
    expect([asked.isBusy, asked.answer]).toEqual([false, answer])
  })

  test('that fails says so, and can be asked again', async () => {
    let isBroken = true
    const asked = new RunQuestion(async () => {
      if (isBroken) throw new Error('no worker')
      return answer
    })
    await asked.ask()
    expect([asked.isFaulty, asked.isBusy, asked.answer]).toEqual([true, false, null])
    isBroken = false
    await asked.ask()
    expect([asked.isFaulty, asked.answer]).toEqual([false, answer])
  })
})
