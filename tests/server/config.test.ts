import { describe, expect, test } from 'vitest'
import { ConfigFault, readConfig } from '../../server/config.ts'

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
    expect(() => readConfig(wrong)).toThrow("port: found '80000', allowed a whole number from 0 to 65535.")
    expect(() => readConfig(wrong)).toThrow("HEXCAIRN_ORIGIN: found 'cairn.example', allowed the form https://")
    expect(() => readConfig(wrong)).toThrow('SESSION_SECRET: found 5 characters, allowed 32 or more.')
    expect(() => readConfig(wrong)).toThrow("LOG_LEVEL: found 'loud', allowed silent, error")
  })

  test('a password in a wrong DATABASE_URL is not repeated', () => {
    expect(() => readConfig({ DATABASE_URL: 'mysql://root:hunter2@db' })).toThrow(/^(?!.*hunter2).*mysql/)
  })

  test('pages are taken from a folder that has them', () => {
    expect(() => readConfig({ HEXCAIRN_PAGES: '/nowhere' })).toThrow("HEXCAIRN_PAGES: found '/nowhere'")
  })

  test('separate processes need a database that takes several', () => {
    expect(() => readConfig({}, { role: 'grader' })).toThrow(/role: found 'grader' with the embedded database/)
  })
})
