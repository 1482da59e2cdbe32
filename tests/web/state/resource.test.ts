import { describe, expect, test } from 'vitest'
import { Action } from '../../../web/state/Action.svelte.ts'
import { Clock } from '../../../web/state/Clock.svelte.ts'
import { Resource } from '../../../web/state/Resource.svelte.ts'

/** A promise that is settled by hand. */
function later<T>() {
  let resolve: (value: T) => void = () => {}
  let reject: (reason: unknown) => void = () => {}
  const promise = new Promise<T>((yes, no) => {
    resolve = yes
    reject = no
  })
  return { promise, resolve, reject }
}

describe('a resource', () => {
  test('is loading until its answer comes', async () => {
    const answer = later<number>()
    const resource = new Resource(() => answer.promise)
    const loading = resource.load()
    expect([resource.isLoading, resource.value]).toEqual([true, null])
    answer.resolve(7)
    await loading
    expect([resource.isLoading, resource.value]).toEqual([false, 7])
  })

  test('keeps the newest request when an older one answers last', async () => {
    const answers = [later<string>(), later<string>()]
    let asked = 0
    const resource = new Resource(() => answers[asked++]?.promise ?? Promise.reject(new Error('asked too often')))
    const loads = [resource.load(), resource.load()]
    answers[1]?.resolve('new')
    answers[0]?.resolve('old')
    await Promise.all(loads)
    expect(resource.value).toBe('new')
  })

  test('keeps the last value beside the fault of a failed reading, until one succeeds', async () => {
    const answers: (() => Promise<number>)[] = [
      () => Promise.resolve(1),
      () => Promise.reject(new Error('down')),
      () => Promise.resolve(2),
    ]
    const resource = new Resource(() => answers.shift()?.() ?? Promise.reject(new Error('asked too often')))
    await resource.load()
    await resource.load()
    expect([resource.value, resource.fault?.code]).toEqual([1, 'no-answer'])
    await resource.load()
    expect([resource.value, resource.fault]).toEqual([2, null])
  })

  test('does not let a reading under way overwrite what was put since', async () => {
    const answer = later<string>()
    const resource = new Resource(() => answer.promise)
    const loading = resource.load()
    resource.put('live')
    answer.resolve('stale')
    await loading
    expect([resource.value, resource.isLoading]).toEqual(['live', false])
  })
})

describe('an action', () => {
  test('runs once while it is busy', async () => {
    const answer = later<number>()
    let runs = 0
    const action = new Action(() => {
      runs += 1
      return answer.promise
    })
    const first = action.run()
    expect(await action.run()).toBeNull()
    answer.resolve(3)
    expect([await first, runs, action.isDone]).toEqual([3, 1, true])
  })

  test('shows its fault until the next try', async () => {
    const tries = [() => Promise.reject(new Error('down')), () => Promise.resolve('ok')]
    const action = new Action(() => tries.shift()?.() ?? Promise.reject(new Error('asked too often')))
    expect(await action.run()).toBeNull()
    expect(action.fault?.code).toBe('no-answer')
    expect(await action.run()).toBe('ok')
    expect(action.fault).toBeNull()
  })
})

test('the clock runs by the server where the machine is an hour off', () => {
  let machine = Date.parse('2026-11-25T10:30:00Z')
  const clock = new Clock(() => machine)
  clock.set('2026-11-25T09:30:00Z')
  machine += 60_000
  expect(new Date(clock.now).toISOString()).toBe('2026-11-25T09:31:00.000Z')
})
