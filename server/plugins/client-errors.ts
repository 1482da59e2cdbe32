import { randomUUID } from 'node:crypto'
import type { Socket } from 'node:net'
import { ApiError, problemOf, type ErrorCode } from '../errors.ts'

/** What Node's HTTP parser says of a request that never became one; anything else is no HTTP. */
const codes: Readonly<Record<string, ErrorCode>> = {
  HPE_HEADER_OVERFLOW: 'headers-too-large',
  ERR_HTTP_REQUEST_TIMEOUT: 'request-timeout',
}

/** Answers on the bare connection in the same form as every other error (RFC 9457), and closes it. */
export function answerClientError(error: Error & { readonly code?: string }, socket: Socket): void {
  if (error.code === 'ECONNRESET' || !socket.writable) {
    socket.destroy()
    return
  }
  const known = new ApiError(codes[error.code ?? ''] ?? 'not-http')
  const body = JSON.stringify(problemOf(known, randomUUID()))
  socket.end(
    `HTTP/1.1 ${known.status} Error\r\nContent-Type: application/problem+json; charset=utf-8\r\n` +
      `Content-Length: ${Buffer.byteLength(body)}\r\nCache-Control: no-store\r\nX-Content-Type-Options: nosniff\r\nConnection: close\r\n\r\n${body}`,
  )
}
