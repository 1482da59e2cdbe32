import { spawn } from 'node:child_process'
import { mkdtempSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterEach, beforeEach, describe, expect, test } from 'vitest'
import { FolderInUse, lockByFile, lockBySocket } from '../../../server/store/folder-lock.ts'

let folder = ''
beforeEach(() => {
  folder = mkdtempSync(join(tmpdir(), 'hexcairn-lock-'))
})
afterEach(() => rmSync(folder, { recursive: true, force: true }))

describe.each([
  ['by socket', lockBySocket],
  ['by file', lockByFile],
])('the lock of a database folder, %s', (_name, lock) => {
  test('is refused while somebody holds it, with the folder in the message', async () => {
    const held = await lock(folder)
    await expect(lock(folder)).rejects.toThrow(FolderInUse)
    await expect(lock(folder)).rejects.toThrow(folder)
    await held.release()
  })

  test('is free again after its release', async () => {
    await (await lock(folder)).release()
    await (await lock(folder)).release()
  })

  test('has one winner of six', async () => {
    const results = await Promise.allSettled(Array.from({ length: 6 }, () => lock(folder)))
    const won = results.filter((result) => result.status === 'fulfilled')
    expect(won).toHaveLength(1)
    for (const result of won) await result.value.release()
  })
})

test('a process that was killed holds no folder', async () => {
  const script = `
    import { lockBySocket } from ${JSON.stringify(new URL('../../../server/store/folder-lock.ts', import.meta.url).href)}
    await lockBySocket(${JSON.stringify(folder)})
    console.log('held')
    setInterval(() => {}, 1000)`
  const child = spawn(process.execPath, ['--import', 'tsx', '--input-type=module', '-e', script], {
    stdio: ['ignore', 'pipe', 'inherit'],
  })
  await new Promise((resolve) => child.stdout.once('data', resolve))
  await expect(lockBySocket(folder)).rejects.toThrow(FolderInUse)
  const ended = new Promise((resolve) => child.once('exit', resolve))
  child.kill('SIGKILL')
  await ended
  await (await lockBySocket(folder)).release()
})

test('a file left behind by a process that is gone is taken over', async () => {
  // Process ids are below 2^22 on Linux, so this one cannot be alive.
  writeFileSync(join(folder, 'hexcairn.pid'), '99999999')
  await (await lockByFile(folder)).release()
})
