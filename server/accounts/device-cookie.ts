import type { FastifyReply, FastifyRequest } from 'fastify'
import { randomBytes } from 'node:crypto'

/** Half a year without use, and a browser counts as new. */
export const deviceSeconds = 180 * 86_400

/** Behind https the prefix keeps other hosts of the domain from planting one. */
function nameOf(request: FastifyRequest): string {
  return isSecure(request) ? '__Host-hexcairn-device' : 'hexcairn-device'
}

function isSecure(request: FastifyRequest): boolean {
  return request.server.settings.publicOrigin?.startsWith('https://') ?? false
}

/** Id of the browser, from a cookie that this server has signed; null where there is none. */
export function deviceOf(request: FastifyRequest): string | null {
  const cookie = request.cookies?.[nameOf(request)]
  if (cookie === undefined) return null
  const { valid, value } = request.unsignCookie(cookie)
  return valid ? value : null
}

/** Gives the browser an id that it keeps when it is closed and when its session ends; one that it has stays. */
export function giveDevice(request: FastifyRequest, reply: FastifyReply): string {
  const id = deviceOf(request) ?? randomBytes(18).toString('base64url')
  reply.setCookie(nameOf(request), id, {
    path: '/',
    httpOnly: true,
    sameSite: 'lax',
    secure: isSecure(request),
    maxAge: deviceSeconds,
    signed: true,
  })
  return id
}
