import { readProgram } from '../../../core/assembler/index.ts'
import type { ReadReply, ReadRequest } from './protocol.ts'

self.onmessage = (event: MessageEvent<ReadRequest>) => {
  const { number, format, text, options } = event.data
  const reply: ReadReply = { number, program: readProgram({ format, text }, options) }
  self.postMessage(reply)
}
