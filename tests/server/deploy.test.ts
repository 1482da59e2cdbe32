import { execFileSync, spawnSync } from 'node:child_process'
import { existsSync, mkdtempSync, readFileSync, rmSync, writeFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { delimiter, join } from 'node:path'
import { afterAll, expect, test } from 'vitest'

function programNamed(name: string): string | null {
  const folders = [...(process.env['PATH'] ?? '').split(delimiter), '/usr/sbin']
  return folders.map((folder) => join(folder, name)).find((file) => existsSync(file)) ?? null
}

const folder = mkdtempSync(join(tmpdir(), 'hexcairn-deploy-'))
afterAll(() => rmSync(folder, { recursive: true, force: true }))

const [nginx, openssl, systemd] = ['nginx', 'openssl', 'systemd-analyze'].map(programNamed)

test.skipIf(!nginx || !openssl)('nginx takes the configuration of the proxy service', () => {
  const [key, certificate] = [join(folder, 'key.pem'), join(folder, 'certificate.pem')]
  const words = ['req', '-x509', '-newkey', 'rsa:2048', '-nodes', '-days', '1', '-subj', '/CN=localhost']
  execFileSync(openssl ?? '', [...words, '-keyout', key, '-out', certificate], { stdio: 'ignore' })
  const lines = readFileSync('deploy/nginx.conf', 'utf8')
    .replaceAll('/tmp/', `${folder}/`)
    .replace('/run/secrets/certificate-key', key)
    .replace('/run/secrets/certificate', certificate)
    .replace('http://server:8080', 'http://127.0.0.1:8080')
  writeFileSync(join(folder, 'nginx.conf'), lines)
  const { status, stderr } = spawnSync(nginx ?? '', ['-t', '-p', folder, '-c', join(folder, 'nginx.conf')], {
    encoding: 'utf8',
  })
  expect([status, status === 0 ? '' : stderr]).toEqual([0, ''])
})

test('what operators set up by hand and the proxy service pass on is the same', () => {
  const passed = (file: string): string[] =>
    [...readFileSync(file, 'utf8').matchAll(/proxy_set_header (\S+)/g)].map(([, name = '']) => name).toSorted()
  expect(passed('deploy/nginx.conf')).toEqual(passed('docs/operators.md'))
  expect(passed('deploy/nginx.conf').length).toBe(5)
})

test.skipIf(!systemd)('systemd takes the unit, with every line of it', () => {
  // The program is elsewhere on this machine.
  const unit = readFileSync('deploy/hexcairn.service', 'utf8').replace('/usr/bin/node', process.execPath)
  writeFileSync(join(folder, 'hexcairn.service'), unit)
  const { status, stderr } = spawnSync(systemd ?? '', ['verify', join(folder, 'hexcairn.service')], {
    encoding: 'utf8',
  })
  const own = stderr.split('\n').filter((line) => line.includes('hexcairn'))
  expect([status, own]).toEqual([0, []])
})
