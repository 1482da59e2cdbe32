import { randomBytes, randomUUID, timingSafeEqual } from 'node:crypto'
import { createReadStream, createWriteStream, readFileSync, rmSync, writeFileSync } from 'node:fs'
import http from 'node:http'
import type { AddressInfo } from 'node:net'
import { join } from 'node:path'
import { pipeline } from 'node:stream/promises'
import { backupLines } from '../backup/backup-lines.ts'
import { writeLines } from '../backup/file.ts'
import type { Database } from '../store/database.ts'

/** Says where the process that has the folder open listens for operators. The folder is its owner's alone, so the token is too. */
const fileName = 'hexcairn-control.json'

interface Address {
  readonly port: number
  readonly token: string
}

/** Milliseconds without a byte after which a request is given up. */
const silentMs = 60_000

/**
 * Lets operators reach the process that has an embedded database open, as no second one can open it: on loopback, with a token
 * from the folder. It does one thing, `POST /backup`, which answers with a backup. That is first written beside the database,
 * so that a slow reader holds nobody up.
 */
export async function openControl(database: Database, folder: string): Promise<{ close(): Promise<void> }> {
  const token = randomBytes(32).toString('base64url')
  const wanted = Buffer.from(`Bearer ${token}`)
  const server = http.createServer((request, response) => {
    const given = Buffer.from(request.headers.authorization ?? '')
    request.resume()
    if (given.length !== wanted.length || !timingSafeEqual(given, wanted)) return response.writeHead(401).end()
    if (request.method !== 'POST' || request.url !== '/backup') return response.writeHead(404).end()
    return sendBackup(database, folder, response).catch((error: unknown) => {
      if (response.headersSent) response.destroy()
      else response.writeHead(500).end(error instanceof Error ? error.message : String(error))
    })
  })
  await new Promise<void>((resolve, reject) => {
    server.once('error', reject)
    server.listen({ host: '127.0.0.1', port: 0 }, resolve)
  })
  server.unref()
  const file = join(folder, fileName)
  const address: Address = { port: (server.address() as AddressInfo).port, token }
  rmSync(file, { force: true })
  writeFileSync(file, JSON.stringify(address), { mode: 0o600 })
  return {
    close: async () => {
      rmSync(file, { force: true })
      server.closeAllConnections()
      await new Promise((resolve) => server.close(resolve))
    },
  }
}

async function sendBackup(database: Database, folder: string, response: http.ServerResponse): Promise<void> {
  const spool = join(folder, `hexcairn-backup-${randomUUID()}.part`)
  try {
    await database.inLongTransaction('read', (sql) =>
      writeLines(backupLines(sql, database.kind, new Date()), createWriteStream(spool, { mode: 0o600 })),
    )
    response.writeHead(200, { 'content-type': 'application/gzip' })
    await pipeline(createReadStream(spool), response)
  } finally {
    rmSync(spool, { force: true })
  }
}

/** Asks the process that has the folder open for a backup; null when none answers. */
export async function askForBackup(folder: string, signal: AbortSignal): Promise<http.IncomingMessage | null> {
  let address: Address
  try {
    address = JSON.parse(readFileSync(join(folder, fileName), 'utf8')) as Address
  } catch {
    return null
  }
  const response = await new Promise<http.IncomingMessage | null>((resolve) => {
    const request = http.request(
      { host: '127.0.0.1', port: address.port, method: 'POST', path: '/backup', signal },
      resolve,
    )
    request.setHeader('authorization', `Bearer ${address.token}`)
    request.once('error', () => resolve(null))
    request.end()
  })
  if (response === null || response.statusCode === 200) {
    response?.setTimeout(silentMs, () => response.destroy())
    return response
  }
  if (response.statusCode !== 500) return null
  let said = ''
  for await (const part of response.setEncoding('utf8') as AsyncIterable<string>) said += part
  throw new Error(said)
}
