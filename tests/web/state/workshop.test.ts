import { describe, expect, test } from 'vitest'
import { scoreSoFar, Workshop, type WorkshopDesk } from '../../../web/state/workshop/Workshop.svelte.ts'
import type { WorkshopReply, WorkshopTask } from '../../../web/state/workshop/protocol.ts'

function workshopOnDesks() {
  const desks: (WorkshopDesk & { tasks: WorkshopTask[]; isCleared: boolean })[] = []
  const workshop = new Workshop(() => {
    const desk = {
      tasks: [] as WorkshopTask[],
      isCleared: false,
      onmessage: null,
      postMessage: (task: WorkshopTask) => desk.tasks.push(task),
      terminate: () => {
        desk.isCleared = true
      },
    }
    desks.push(desk)
    return desk
  })
  const say = (reply: WorkshopReply) => desks.at(-1)?.onmessage?.({ data: reply } as MessageEvent<WorkshopReply>)
  return { workshop, desks, say }
}

const task = { kind: 'probe' } as unknown as WorkshopTask
const progress = { done: 3, total: 9, caught: 2, survived: 1 }

describe('the workshop', () => {
  test('tells how far a task is, then its result, and clears the desk', () => {
    const { workshop, desks, say } = workshopOnDesks()
    workshop.start(task)
    say({ kind: 'progress', progress })
    expect([workshop.isRunning, workshop.progress]).toEqual([true, progress])
    say({ kind: 'done', result: { kind: 'probe', result: null } })
    expect([workshop.isRunning, workshop.result, desks[0]?.isCleared]).toEqual([
      false,
      { kind: 'probe', result: null },
      true,
    ])
  })

  test('stopped, keeps what was known', () => {
    const { workshop, desks, say } = workshopOnDesks()
    workshop.start(task)
    say({ kind: 'progress', progress })
    workshop.stop()
    expect([workshop.isRunning, workshop.isStopped, workshop.progress, desks[0]?.isCleared]).toEqual([
      false,
      true,
      progress,
      true,
    ])
    workshop.start(task)
    expect([workshop.isStopped, workshop.progress, desks.length]).toEqual([false, null, 2])
  })

  test('drops a task under way for a newer one, and a stop at rest is none', () => {
    const { workshop, desks } = workshopOnDesks()
    workshop.stop()
    expect(workshop.isStopped).toBe(false)
    workshop.start(task)
    workshop.start(task)
    expect([desks[0]?.isCleared, desks[1]?.isCleared]).toEqual([true, false])
  })

  test('shows a part of the result while the rest is worked on, and hands on the whole once', () => {
    const { workshop, desks, say } = workshopOnDesks()
    const heard: unknown[] = []
    const part = { kind: 'probe', result: null } as const
    workshop.start(task, (result) => heard.push(result))
    say({ kind: 'so-far', result: part })
    expect([workshop.isRunning, workshop.result, workshop.task, heard]).toEqual([true, part, task, []])
    const whole = { ...part }
    say({ kind: 'done', result: whole })
    expect([workshop.isRunning, heard, desks.length]).toEqual([false, [whole], 1])
  })

  test('says nothing of the end of a task that was stopped, dropped or failed', () => {
    const { workshop, say } = workshopOnDesks()
    const heard: unknown[] = []
    workshop.start(task, (result) => heard.push(result))
    workshop.start(task)
    say({ kind: 'done', result: { kind: 'probe', result: null } })
    workshop.start(task, (result) => heard.push(result))
    say({ kind: 'fault', message: 'It broke.' })
    expect(heard).toEqual([])
  })

  test('says why a task failed', () => {
    const { workshop, say } = workshopOnDesks()
    workshop.start(task)
    say({ kind: 'fault', message: 'It broke.' })
    expect([workshop.isRunning, workshop.fault, workshop.result]).toEqual([false, 'It broke.', null])
  })
})

test('a score so far never rounds up to full marks', () => {
  expect(scoreSoFar({ caught: 0, survived: 0 })).toBeNull()
  expect(scoreSoFar({ caught: 29_999, survived: 1 })).toBe(99.99)
  expect(scoreSoFar({ caught: 5, survived: 0 })).toBe(100)
})
