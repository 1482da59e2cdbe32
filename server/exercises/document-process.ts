import { readRevision } from './document-reader.ts'

// Runs in a process of its own: a text in, what is stored of the exercise out. Says when it begins.
process.on('message', (source: string) => {
  process.send?.('begun')
  process.send?.(readRevision(source))
})
process.once('disconnect', () => process.exit())
