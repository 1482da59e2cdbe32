/**
 * `npm test`: every test there is. Finds what the tests need beyond npm packages (a Chromium, a PostgreSQL server),
 * installs it where it may (root on a machine with apt-get), and says in one line each what it had to leave out. With
 * CI=true leaving something out is a failure. Arguments go on to vitest: `npm test -- tests/core`.
 */
import { spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readdirSync, readFileSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import { readyPages } from '../server/pages-build.ts'

const isCi = process.env['CI'] === 'true'
const left: string[] = []

function onPath(names: readonly string[]): string | undefined {
  const folders = (process.env['PATH'] ?? '').split(delimiter)
  return names.flatMap((name) => folders.map((folder) => join(folder, name))).find((file) => existsSync(file))
}

function findChromium(): string | undefined {
  const named = process.env['CHROMIUM_PATH']
  if (named !== undefined && existsSync(named)) return named
  return onPath(['chromium', 'chromium-browser', 'google-chrome', 'google-chrome-stable'])
}

/** The folder that holds `initdb` and `pg_ctl`; Debian keeps it off the PATH. */
function findPostgres(): string | undefined {
  const named = process.env['PG_BIN']
  if (named !== undefined && existsSync(join(named, 'initdb'))) return named
  const debian = '/usr/lib/postgresql'
  const versions = existsSync(debian) ? readdirSync(debian).sort((a, b) => Number(b) - Number(a)) : []
  const folder = versions.map((version) => join(debian, version, 'bin')).find((bin) => existsSync(join(bin, 'initdb')))
  const initdb = onPath(['initdb'])
  return folder ?? (initdb === undefined ? undefined : join(initdb, '..'))
}

/** Where Debian keeps servers; not on everybody's PATH. */
function inSbin(name: string): string | undefined {
  const file = join('/usr/sbin', name)
  return existsSync(file) ? file : undefined
}

let hasFreshPackageList = false

function install(debianPackage: string): void {
  if (process.getuid?.() !== 0 || onPath(['apt-get']) === undefined) return
  console.log(`test: installing ${debianPackage} with apt-get`)
  const options = { stdio: 'ignore', env: { ...process.env, DEBIAN_FRONTEND: 'noninteractive' } } as const
  if (!hasFreshPackageList) spawnSync('apt-get', ['update'], options)
  hasFreshPackageList = true
  spawnSync('apt-get', ['install', '-y', '--no-install-recommends', debianPackage], options)
}

function need(what: string, find: () => string | undefined, debianPackage: string, leaves: string): string | undefined {
  let found = find()
  if (found === undefined) {
    install(debianPackage)
    found = find()
  }
  if (found === undefined) left.push(`skipped: ${leaves}, because ${what} was not found and could not be installed`)
  return found
}

const chromium = need('a Chromium browser', findChromium, 'chromium', 'the tests in a real browser')
const postgres = need('a PostgreSQL server', findPostgres, 'postgresql', 'the tests on a real PostgreSQL server')
need('sox', () => onPath(['sox']), 'sox', 'the speaker measured by sox')
need('sigrok-cli', () => onPath(['sigrok-cli']), 'sigrok-cli', 'the lanes read by sigrok-cli')
need('vcd2fst', () => onPath(['vcd2fst']), 'gtkwave', 'the lanes read by gtkwave')
need('z80dasm', () => onPath(['z80dasm']), 'z80dasm', 'the comparison of the disassembler with z80dasm')
need('nginx', () => onPath(['nginx']) ?? inSbin('nginx'), 'nginx-light', 'signing in through nginx')
need('haproxy', () => onPath(['haproxy']) ?? inSbin('haproxy'), 'haproxy', 'signing in through HAProxy')
need('openssl', () => onPath(['openssl']), 'openssl', 'signing in through a proxy by https')

const env = { ...process.env }
if (chromium !== undefined) env['CHROMIUM_PATH'] = chromium
else env['TESTS_WITHOUT_BROWSER'] = '1'
if (postgres !== undefined) env['PG_BIN'] = postgres

try {
  await readyPages(console.log)
} catch (error) {
  console.error(`test: ${error instanceof Error ? error.message : String(error)}`)
  process.exit(1)
}

const folder = mkdtempSync(join(tmpdir(), 'hexcairn-test-'))
const outcome = join(folder, 'outcome.json')
const words = ['--no-install', 'vitest', 'run', '--reporter=default', '--reporter=json', `--outputFile.json=${outcome}`]
const tests = spawnSync('npx', [...words, ...process.argv.slice(2)], { stdio: 'inherit', env })

let skipped = 0
if (existsSync(outcome)) {
  const counts = JSON.parse(readFileSync(outcome, 'utf8')) as Record<string, number>
  skipped = counts['numPendingTests'] ?? 0
  for (const line of left) console.log(line)
  console.log(`${counts['numPassedTests'] ?? 0} passed, ${counts['numFailedTests'] ?? 0} failed, ${skipped} skipped`)
}
rmSync(folder, { recursive: true, force: true })
if (isCi && (left.length > 0 || skipped > 0)) console.error('test: with CI=true a skipped test is a failure')
process.exitCode = tests.status !== 0 || (isCi && (left.length > 0 || skipped > 0)) ? 1 : 0
