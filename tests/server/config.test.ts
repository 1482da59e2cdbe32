import { mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import { afterAll, describe, expect, test } from 'vitest'
import { parse } from 'yaml'
import { ConfigFault, readConfig, settingNames } from '../../server/config.ts'

describe('the configuration', () => {
  test('with nothing set: loopback, port 8080, a folder in the checkout, everything in one process', () => {
    const config = readConfig({})
    expect(config).toMatchObject({ host: '127.0.0.1', port: 8080, role: 'all', isDemo: false })
    expect(config.database.kind === 'embedded' && config.database.folder).toMatch(/\.hexcairn\/data$/)
  })

  test('DATABASE_URL takes PostgreSQL', () => {
    expect(readConfig({ DATABASE_URL: 'postgresql://db/hexcairn' }).database.kind).toBe('postgresql')
  })

  test('the demo never touches the database of DATABASE_URL', () => {
    expect(readConfig({ DATABASE_URL: 'postgresql://db/hexcairn' }, { isDemo: true }).database.kind).toBe('embedded')
  })

  test('the command line wins over the environment', () => {
    expect(readConfig({ PORT: '9000', HOST: '0.0.0.0' }, { port: '9001' })).toMatchObject({
      port: 9001,
      host: '0.0.0.0',
    })
  })

  test('every setting that cannot be used is named, with what was found and what is allowed', () => {
    const wrong = { PORT: '80000', LOG_LEVEL: 'loud', HEXCAIRN_ORIGIN: 'cairn.example', SESSION_SECRET: 'short' }
    expect(() => readConfig(wrong)).toThrow(ConfigFault)
    expect(() => readConfig(wrong)).toThrow("PORT: found '80000', allowed a whole number from 0 to 65535.")
    expect(() => readConfig(wrong)).toThrow("HEXCAIRN_ORIGIN: found 'cairn.example', allowed the form https://")
    expect(() => readConfig(wrong)).toThrow('SESSION_SECRET: found 5 characters, allowed 32 or more.')
    expect(() => readConfig(wrong)).toThrow("LOG_LEVEL: found 'loud', allowed silent, error")
  })

  test('what an option and what a variable said is told by its own name', () => {
    expect(() => readConfig({ PORT: '1' }, { port: 'x' })).toThrow("--port: found 'x', allowed a whole number")
    expect(() => readConfig({ HEXCAIRN_ROLE: 'cook' })).toThrow(
      "HEXCAIRN_ROLE: found 'cook', allowed web, grader, all.",
    )
    expect(() => readConfig({ HEXCAIRN_GRADERS: '1e1' })).toThrow(
      "HEXCAIRN_GRADERS: found '1e1', allowed a whole number",
    )
  })

  test.each(['HEXCAIRN_GRADER', 'HEXCAIRN_role', 'HEXCAIRN_PORT', 'HEXCAIRN_'])(
    '%s is no setting, and is told',
    (name) => {
      expect(() => readConfig({ [name]: '' })).toThrow(`${name}: there is no such setting, allowed HEXCAIRN_DATA, `)
    },
  )

  test('HEXCAIRN_ROLE says what the process does, unless an option does', () => {
    const env = { DATABASE_URL: 'postgresql://db/hexcairn', HEXCAIRN_ROLE: 'grader' }
    expect(readConfig(env).role).toBe('grader')
    expect(readConfig(env, { role: 'web' }).role).toBe('web')
  })

  test('the demo is one process', () => {
    expect(() => readConfig({ HEXCAIRN_ROLE: 'web' }, { isDemo: true })).toThrow(
      "HEXCAIRN_ROLE: found 'web', allowed all",
    )
  })

  test.each(['postgresql://user:a#b@db/hexcairn', 'postgresql://db:port/hexcairn', 'db.example', 'postgres:db'])(
    'DATABASE_URL may not be %s',
    (url) => {
      expect(() => readConfig({ DATABASE_URL: url })).toThrow(
        /^DATABASE_URL: found '[^']*…', allowed the form postgresql:/,
      )
    },
  )

  test('a password in a wrong DATABASE_URL is not repeated', () => {
    expect(() => readConfig({ DATABASE_URL: 'mysql://root:hunter2@db' })).toThrow(/^(?!.*hunter2).*mysql/)
  })

  test('pages are taken from a folder that has them', () => {
    expect(() => readConfig({ HEXCAIRN_PAGES: '/nowhere' })).toThrow("HEXCAIRN_PAGES: found '/nowhere'")
  })

  test('separate processes need a database that takes several', () => {
    expect(() => readConfig({}, { role: 'grader' })).toThrow(/--role: found 'grader' with the embedded database/)
  })

  test('forwarded headers are believed of so many proxies or of these addresses, never of everybody', () => {
    const proxy = (text: string) => readConfig({ HEXCAIRN_PROXY: text }).trustedProxy
    expect([proxy(''), proxy('0'), proxy('1'), proxy('2')]).toEqual([null, null, 1, 2])
    expect(proxy('127.0.0.1, 10.0.0.0/8,fd00::/8')).toEqual(['127.0.0.1', '10.0.0.0/8', 'fd00::/8'])
    for (const wrong of ['true', '*', '10.0.0.0/0', '10.0.0.0/33', '300.1.1.1', '127.0.0.1,', '-1', 'proxy.example'])
      expect(() => proxy(wrong)).toThrow(`HEXCAIRN_PROXY: found '${wrong}', allowed 0, the number of proxies`)
  })

  test('metrics are nowhere until an address is named, and on loopback with a port alone', () => {
    const metrics = (text: string) => readConfig({ HEXCAIRN_METRICS: text }).metrics
    expect(metrics('')).toBeNull()
    expect(metrics('9464')).toEqual({ host: '127.0.0.1', port: 9464 })
    expect(metrics('0.0.0.0:9464')).toEqual({ host: '0.0.0.0', port: 9464 })
    expect(metrics('[::1]:9464')).toEqual({ host: '::1', port: 9464 })
    for (const wrong of ['on', 'localhost', '70000', 'a b:1'])
      expect(() => metrics(wrong)).toThrow(
        `HEXCAIRN_METRICS: found '${wrong}', allowed a port, or an address and a port`,
      )
  })

  test('an https address without a proxy that is believed is told with the line to add', () => {
    const origin = { HEXCAIRN_ORIGIN: 'https://cairn.example.edu' }
    expect(() => readConfig(origin)).toThrow(/nobody can sign in\. Add HEXCAIRN_PROXY=1/)
    expect(readConfig({ ...origin, HEXCAIRN_PROXY: '1' }).publicOrigin).toBe('https://cairn.example.edu')
  })
})

describe('a secret in a file', () => {
  const folder = mkdtempSync(join(tmpdir(), 'hexcairn-secrets-'))
  const file = (name: string, text: string): string => {
    writeFileSync(join(folder, name), text)
    return join(folder, name)
  }
  afterAll(() => rmSync(folder, { recursive: true, force: true }))

  test('is read without its line end', () => {
    const config = readConfig({
      DATABASE_URL_FILE: file('address', 'postgresql://u:p@db/hexcairn\n'),
      SESSION_SECRET_FILE: file('secret', `${'s'.repeat(40)}\r\n`),
    })
    expect(config.database).toEqual({ kind: 'postgresql', connectionString: 'postgresql://u:p@db/hexcairn' })
    expect(config.sessionSecret).toBe('s'.repeat(40))
  })

  test('that is missing, empty or given twice is told, and not repeated', () => {
    const fault = (env: Record<string, string>): string => {
      try {
        readConfig(env)
        return ''
      } catch (error) {
        return (error as Error).message
      }
    }
    expect(fault({ SESSION_SECRET_FILE: '/nowhere/secret' })).toBe(
      "SESSION_SECRET_FILE: found '/nowhere/secret', which cannot be read (ENOENT), allowed a file with the secret.",
    )
    expect(fault({ SESSION_SECRET_FILE: file('nothing', '\n') })).toMatch(/^SESSION_SECRET_FILE: found nothing in/)
    expect(fault({ SESSION_SECRET: 'x'.repeat(40), SESSION_SECRET_FILE: file('twice', 'hunter2') })).toBe(
      'SESSION_SECRET_FILE: found SESSION_SECRET too, allowed one of the two.',
    )
  })
})

describe('docker-compose.yml', () => {
  const { services, secrets } = parse(readFileSync('docker-compose.yml', 'utf8')) as {
    services: Record<string, { environment: Record<string, string>; secrets?: string[]; [key: string]: unknown }>
    secrets: Record<string, { file: string }>
  }
  // Where to listen and the folder are the image's own affair.
  const own = ['HOST', 'PORT', 'HEXCAIRN_DATA']
  const settings = [...readFileSync('docs/operators.md', 'utf8').matchAll(/^\| (`[A-Z_]+`(?:, `[A-Z_]+`)*) \| /gm)]
    .flatMap(([, names = '']) => names.split(', ').map((name) => name.slice(1, -1)))
    .filter((name) => !own.includes(name))

  test.each(['database', 'migrate', 'server', 'grader', 'proxy'])(
    '%s has no right it does not need, and a bound',
    (name) => {
      expect(services[name]).toMatchObject({
        read_only: true,
        cap_drop: ['ALL'],
        security_opt: ['no-new-privileges:true'],
        mem_limit: expect.stringMatching(/^(\dg|\d+m)$/),
      })
    },
  )

  test('passwords and keys are files, of which each service gets its own', () => {
    const text = readFileSync('docker-compose.yml', 'utf8')
    expect(text).not.toMatch(/PASSWORD: |postgresql:\/\//)
    for (const [name, service] of Object.entries(services))
      for (const each of service.secrets ?? [])
        expect([name, secrets[each]?.file]).toEqual([name, expect.stringMatching(/^\.\/secrets\//)])
    const owner = Object.keys(services).filter((name) => services[name]?.secrets?.includes('database-owner-address'))
    expect(owner).toEqual(['migrate'])
    // Operators are told of every file.
    const page = readFileSync('docs/operators.md', 'utf8')
    for (const { file } of Object.values(secrets)) expect(page).toContain(`\`${file.replace('./', '')}\``)
  })

  test('only the proxy is reached from outside', () => {
    expect(Object.keys(services).filter((name) => services[name]?.['ports'] !== undefined)).toEqual(['proxy'])
  })

  test('a grader is asked for its health where it answers', () => {
    const { environment, healthcheck } = services['grader'] as unknown as {
      environment: Record<string, string>
      healthcheck: { test: string[] }
    }
    const { metrics } = readConfig({ HEXCAIRN_METRICS: environment['HEXCAIRN_METRICS'] })
    expect(healthcheck.test.join(' ')).toContain(`127.0.0.1:${metrics?.port}/health/ready`)
  })

  test('passes on every setting that operators are told of', () => {
    expect(settings.length).toBeGreaterThan(8)
    const passed = [services['server'], services['grader']].flatMap((service) =>
      Object.keys(service?.environment ?? {}),
    )
    expect(settings.filter((name) => !passed.includes(name) && !passed.includes(`${name}_FILE`))).toEqual([])
  })

  test('operators are told of every setting there is', () => {
    expect(settingNames.filter((name) => ![...settings, ...own].includes(name))).toEqual([])
  })

  test('a setting that is left empty is one that is not set', () => {
    const empty = Object.fromEntries(settings.map((name) => [name, '']))
    expect(readConfig(empty)).toEqual(readConfig({}))
  })
})
