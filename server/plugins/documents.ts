import fp from 'fastify-plugin'
import { openDocumentReader, type DocumentReader } from '../exercises/document-reader.ts'

declare module 'fastify' {
  interface FastifyInstance {
    readonly documents: DocumentReader
  }
}

export interface DocumentsOptions {
  /** One that is open already and stays its owner's. */
  readonly reader?: DocumentReader
}

export const documentsPlugin = fp<DocumentsOptions>(
  async (app, { reader }) => {
    const opened = reader ?? openDocumentReader({ onError: (error) => app.log.error(error, 'document reader') })
    app.decorate('documents', opened)
    app.addHook('onClose', async () => {
      if (reader === undefined) await opened.close()
    })
  },
  { name: 'documents' },
)
