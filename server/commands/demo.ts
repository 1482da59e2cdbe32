import { randomBytes } from 'node:crypto'
import { join } from 'node:path'
import { buildApp } from '../app.ts'
import { readConfig, type Config, type ConfigOptions } from '../config.ts'
import { readCourseFiles } from '../demo/course-files.ts'
import { leaveNotes } from '../demo/notes.ts'
import { signIns } from '../demo/people.ts'
import { seedDemo } from '../demo/seed.ts'
import { watchGrading } from '../demo/watch-grading.ts'
import { packageRoot } from '../package-root.ts'
import { readyPages } from '../pages-build.ts'
import { listen, requireFreePort, runServer } from '../running.ts'

export type DemoOptions = Pick<ConfigOptions, 'port' | 'host' | 'graders'>

/** Runs the demo until it is stopped; gives the exit code of the process. Its data lives in memory and ends with it. */
export function demo(options: DemoOptions = {}): Promise<number> {
  return runServer(async (opened) => {
    const read = readConfig(process.env, { ...options, isDemo: true })
    const config: Config = { ...read, database: { kind: 'embedded', folder: null } }
    for (const name of ['DATABASE_URL', 'HEXCAIRN_DATA'] as const)
      if (process.env[name]) console.log(`The demo keeps its data in memory: ${name} is left alone.`)
    await requireFreePort(config)
    const webFolder = config.webFolder ?? (await readyPages(console.log))
    const now = new Date()
    const app = opened(await buildApp({ config: { ...config, webFolder } }))
    const passwords = choosePasswords(config)
    const files = readCourseFiles(join(packageRoot, 'prisma', 'seed', 'tram-depot'))
    const seeded = await seedDemo(app, files, passwords, now)
    const address = await listen(app, config)
    console.log(`\n${files.title}: ${config.publicOrigin ?? address}\n`)
    for (const [role, { userName }] of Object.entries(signIns))
      console.log(`  ${role.padEnd(11)} ${userName.padEnd(12)} ${passwords[role as keyof typeof signIns]}`)
    console.log('')
    const watching = watchGrading(app, process.stdout)
    await watching.until(await seeded.handIn())
    await leaveNotes(app, seeded)
    console.log('Ready. Everything is invented, and is gone when you stop it with Ctrl-C.')
  })
}

/** Easy ones while only this machine can reach the demo; drawn ones as soon as others can. */
function choosePasswords({ host, publicOrigin }: Config): Record<keyof typeof signIns, string> {
  const isLocal = ['127.0.0.1', '::1', 'localhost'].includes(host) && publicOrigin === null
  const password = (easy: string): string => (isLocal ? easy : randomBytes(9).toString('base64url'))
  return {
    instructor: password('copper-signal-41'),
    assistant: password('amber-switch-27'),
    student: password('green-lantern-16'),
  }
}
