import { existsSync, mkdtempSync, readFileSync, rmSync, statSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { gunzipSync, gzipSync } from 'node:zlib'
import { afterAll, beforeAll, describe, expect, test, vi } from 'vitest'
import type { TableEnd } from '../../../server/backup/document.ts'
import { unfinishedMark } from '../../../server/backup/restore.ts'
import type { Submission } from '../../../server/contract/index.ts'
import { openControl } from '../../../server/operations/control.ts'
import type { Database } from '../../../server/store/database.ts'
import { openEmbedded } from '../../../server/store/embedded.ts'
import { openHosted } from '../../../server/store/hosted.ts'
import { inProcess, type Outcome } from '../commands/command-cases.ts'
import { killProcesses, start } from '../commands/server-process.ts'
import { freshDatabase, inThread, openHouse, Visitor, type House } from '../harness.ts'
import { postgresBin, startPostgres, type PostgresServer } from '../postgres.ts'
import { openClass, rightProgram, wrongProgram, type Class } from '../sample.ts'

vi.setConfig({ hookTimeout: 300_000, testTimeout: 300_000 })

const parent = mkdtempSync(join(tmpdir(), 'hexcairn-drill-'))
const at = (name: string): string => join(parent, name)
const bin = postgresBin()
let postgres: PostgresServer | null = null

/** What a class has done by the time of the backup, and what must be there after it was restored. */
interface Before {
  readonly group: Class
  readonly cookie: Record<string, string>
  readonly report: Submission
  readonly waiting: string
  readonly tables: readonly TableEnd[]
}
let before: Before
/** With signs that some take for the end of a line, for quotes or for a formula. */
const noteText = 'You subtract: \u2028 look at “SUB (HL)”, \\ and é.\n=1+1'

/** Runs a command line with nothing set but this address. */
async function command(words: readonly string[], address = ''): Promise<Outcome> {
  const kept = process.env['DATABASE_URL']
  process.env['DATABASE_URL'] = address
  try {
    return await inProcess(words)
  } finally {
    if (kept === undefined) delete process.env['DATABASE_URL']
    else process.env['DATABASE_URL'] = kept
  }
}

async function tablesOf(words: readonly string[], address = ''): Promise<readonly TableEnd[]> {
  const { code, out, err } = await command([...words, '--json'], address)
  expect([code, code === 0 ? '' : err + out]).toEqual([0, ''])
  return (JSON.parse(out) as { tables: TableEnd[] }).tables
}

/** Reads a place back by a backup of it: one line a table. */
let count = 0
async function contentOf(place: { folder: string } | { address: string }): Promise<readonly TableEnd[]> {
  count += 1
  const file = at(`again-${count}.backup`)
  return 'folder' in place
    ? tablesOf(['backup', file, '--data', place.folder])
    : tablesOf(['backup', file], place.address)
}

/** A class with hand-ins of every state, a note and its answer, a session, and what the settings keep. */
async function teach(database: Database): Promise<Omit<Before, 'tables'>> {
  let house: House = await openHouse({ database, pool: inThread })
  const group = await openClass(house)
  const url = `/api/exercises/${group.exercise.id}/submissions`
  const send = (who: Visitor, program: object, prefer: string) => who.take<Submission>('POST', url, program, { prefer })
  await send(group.otherStudent, rightProgram, 'wait=30')
  const report = await send(group.student, wrongProgram, 'wait=30')
  expect(report.state).toBe('graded')
  const note = await group.assistant.take<{ id: string }>('POST', `/api/submissions/${report.id}/notes`, {
    text: noteText,
    isReleased: true,
  })
  await group.student.take('POST', `/api/submissions/${report.id}/notes/${note.id}/replies`, { text: 'Thank you.' })
  await vi.waitFor(
    async () => expect(await database.prisma.submission.count({ where: { diagnosisState: 'looking' } })).toBe(0),
    { timeout: 60_000 },
  )
  await house.close()
  // Without a grader: this one waits.
  house = await openHouse({ database })
  const again = new Visitor(house.app)
  await again.signIn('sam')
  const { id: waiting } = await send(again, rightProgram, 'wait=0')
  const cookie = again.headers
  const seen = await again.take<Submission>('GET', `/api/submissions/${report.id}`)
  await house.close()
  return { group, cookie, report: seen, waiting }
}

/** A server on the place: the old session still holds, the password too, the report is the same, what waited is graded. */
async function requireAtWork(database: Database): Promise<void> {
  const house = await openHouse({ database, pool: inThread })
  try {
    const asBefore = await new Visitor(house.app).get('/api/session', before.cookie)
    expect(asBefore.statusCode).toBe(200)
    const sam = await new Visitor(house.app).signIn('sam')
    expect(await sam.take('GET', `/api/submissions/${before.report.id}`)).toEqual(before.report)
    const { notes } = await sam.take<{ notes: { text: string }[] }>('GET', `/api/submissions/${before.report.id}/notes`)
    expect(notes.map(({ text }) => text)).toEqual([noteText, 'Thank you.'])
    await expect
      .poll(async () => (await sam.take<Submission>('GET', `/api/submissions/${before.waiting}`)).state, {
        timeout: 60_000,
      })
      .toBe('graded')
    const url = `/api/exercises/${before.group.exercise.id}/submissions`
    const next = await sam.take<Submission>('POST', url, rightProgram, { prefer: 'wait=30' })
    expect([next.state, next.receipt.number]).toEqual(['graded', 3])
  } finally {
    await house.close()
  }
}

beforeAll(async () => {
  postgres = bin === null ? null : await startPostgres(bin)
  const database = await freshDatabase(at('source'))
  const taught = await teach(database)
  // As a server does that is running.
  const control = await openControl(database, at('source'))
  const tables = await tablesOf(['backup', at('class.backup'), '--data', at('source')])
  await control.close()
  await database.close()
  before = { ...taught, tables }
})
afterAll(() => {
  killProcesses()
  postgres?.close()
  rmSync(parent, { recursive: true, force: true })
})

describe('a backup of a folder that a server has open', () => {
  test('holds every table with its count and digest, and is its owner’s alone', () => {
    const rows = new Map(before.tables.map(({ table, rows: each }) => [table, each]))
    expect(rows.get('Submission')).toBe(3)
    expect(rows.get('Note')).toBe(2)
    expect(rows.get('User')).toBe(5)
    expect(rows.get('Session')).toBeGreaterThan(4)
    expect(new Set(before.tables.map(({ sha256 }) => sha256.length))).toEqual(new Set([64]))
    expect(statSync(at('class.backup')).mode & 0o777).toBe(0o600)
  })

  test('is found whole by --check, and is never written over', async () => {
    expect(await command(['restore', at('class.backup'), '--check'])).toMatchObject({
      code: 0,
      out: expect.stringMatching(/^The backup of 20\S+ is whole: 5 people, 3 hand-ins, \d+ rows in \d+ tables\.\n$/),
    })
    expect(await command(['backup', at('class.backup'), '--data', at('source')])).toMatchObject({
      code: 2,
      err: expect.stringContaining('is there already'),
    })
  })

  test('is the same rows when the server is stopped', async () => {
    expect(await contentOf({ folder: at('source') })).toEqual(before.tables)
  })
})

describe('a drill: the backup', () => {
  test('into an empty folder', async () => {
    expect(await tablesOf(['restore', at('class.backup'), '--data', at('folder')])).toEqual(before.tables)
    expect(await contentOf({ folder: at('folder') })).toEqual(before.tables)
    const database = await openEmbedded({ folder: at('folder') })
    await requireAtWork(database)
    await database.close()
  })

  test.skipIf(bin === null)('into an empty PostgreSQL database, and from there', async () => {
    const address = postgres?.database('restored') ?? ''
    expect(await tablesOf(['restore', at('class.backup')], address)).toEqual(before.tables)
    expect(await contentOf({ address })).toEqual(before.tables)
    const database = await openHosted({ connectionString: address })
    await requireAtWork(database)
    // While it is at work.
    const backup = await command(['backup', at('hosted.backup')], address)
    expect(backup).toMatchObject({ code: 0, out: expect.stringMatching(/read back and found whole\.\n$/) })
    await database.close()
    expect((await command(['restore', at('hosted.backup'), '--check'])).code).toBe(0)
  })
})

describe.skipIf(bin === null)('move', () => {
  test('takes a folder to PostgreSQL in one command, and back', async () => {
    const address = postgres?.database('moved') ?? ''
    const there = await command(['move', 'postgresql', '--data', at('source')], address)
    expect(there).toMatchObject({
      code: 0,
      out: expect.stringMatching(/^Moved from the folder .*5 people, 3 hand-ins/),
    })
    expect(there.err).toContain('Submission: 3 of 3')
    expect(await contentOf({ address })).toEqual(before.tables)
    expect(await tablesOf(['move', 'folder', '--data', at('back')], address)).toEqual(before.tables)
    expect(await contentOf({ folder: at('back') })).toEqual(before.tables)
  })

  test('leaves a database alone that servers are connected to', async () => {
    const address = postgres?.database('busy', 'moved') ?? ''
    const database = await openHosted({ connectionString: address })
    await database.prisma.user.count()
    const { code, err } = await command(['move', 'folder', '--data', at('never')], address)
    expect([code, err]).toEqual([
      2,
      expect.stringMatching(/^hexcairn: Found \d+ other connections to the database: stop/),
    ])
    await database.close()
  })
})

describe('a restore', () => {
  const whole = (): string[] =>
    gunzipSync(readFileSync(at('class.backup')))
      .toString()
      .split('\n')
  const written = (name: string, lines: readonly string[]): string => {
    writeFileSync(at(name), gzipSync(lines.join('\n')))
    return at(name)
  }
  const check = async (file: string): Promise<string> => (await command(['restore', file, '--check'])).err

  test('refuses a place that is not empty, and says what it found', async () => {
    expect(await command(['restore', at('class.backup'), '--data', at('source')])).toEqual({
      code: 2,
      out: '',
      err: expect.stringMatching(
        /^hexcairn: The place is not empty: found a Hexcairn with 5 people, 2 courses, 3 hand-ins, \d+ rows in all, allowed an empty folder or database\.\n$/,
      ),
    })
  })

  test.skipIf(bin === null)('refuses a database with tables of others', async () => {
    const address = postgres?.database('strange') ?? ''
    const database = await openHosted({ connectionString: address })
    await database.prisma.$executeRawUnsafe('create table ledger (a int)')
    await database.close()
    const { code, err } = await command(['restore', at('class.backup')], address)
    expect([code, err]).toEqual([2, expect.stringContaining("found tables that are not Hexcairn's, such as 'ledger'")])
  })

  test('finds a changed value, a row too few, a missing end, a file cut off, and what is no backup', async () => {
    const lines = whole()
    const changed = lines.map((line) => line.replace('Olu Mensah', 'Olu Mensch'))
    expect(changed).not.toEqual(lines)
    expect(await check(written('changed', changed))).toMatch(/The table User of the backup is damaged/)
    const row = lines.findIndex((line) => line.startsWith('['))
    expect(await check(written('fewer', lines.toSpliced(row, 1)))).toMatch(/is no row of|is damaged/)
    expect(await check(written('ended', lines.slice(0, -2)))).toMatch(/ends after \d+ lines: the rest of it is missing/)
    writeFileSync(at('cut'), readFileSync(at('class.backup')).subarray(0, -200))
    expect(await check(at('cut'))).toMatch(/The backup is cut off: its end is missing/)
    writeFileSync(at('other'), 'not a backup')
    expect(await check(at('other'))).toMatch(/The file is no backup, or it is damaged/)
    expect(await check(written('text', ['{"format":"else/9"}', '']))).toMatch(
      /has the format 'else\/9', allowed hexcairn-backup\/1/,
    )
  })

  test('refuses a backup of a newer program, and makes no folder for it', async () => {
    const newer = whole().map((line) => line.replace('"migrations":[', '"migrations":["20990101000000_later",'))
    expect((await command(['restore', written('newer', newer), '--data', at('nothing')])).err).toMatch(
      /was made by a newer Hexcairn \(\S+, with 20990101000000_later\)/,
    )
    expect(existsSync(at('nothing'))).toBe(false)
  })

  test('brings no row of a damaged backup, and the place can be used afterwards', async () => {
    const lines = whole()
    const damaged = lines.map((line) => line.replace('Olu Mensah', 'Olu Mensch'))
    const data = ['--data', at('refused')]
    expect((await command(['restore', written('damaged', damaged), ...data])).err).toMatch(
      /User of the backup is damaged/,
    )
    expect(await tablesOf(['restore', at('class.backup'), ...data])).toEqual(before.tables)
  })

  test('that was broken off before its queue was there is known to whoever serves the place', async () => {
    // The place that the test before this one has filled.
    const database = await openEmbedded({ folder: at('refused') })
    await database.prisma.setting.create({ data: { key: unfinishedMark, value: 'then' } })
    await database.close()
    const run = start(['serve', '--port', '0', '--data', at('refused')])
    expect((await run.ended()).code).toBe(2)
    expect(run.text()).toMatch(/^A restore into this database was broken off\..*\n$/)
  })
})

test('migrate makes the tables of a new place, and says so once', async () => {
  const made = await command(['migrate', '--data', at('new')])
  expect(made).toMatchObject({
    code: 0,
    out: expect.stringMatching(/_first_tables applied\n(.*\n)*The folder .*\.\n$/),
  })
  expect(await command(['migrate', '--data', at('new'), '--json'])).toMatchObject({
    code: 0,
    out: expect.stringContaining('"applied": []'),
  })
})
