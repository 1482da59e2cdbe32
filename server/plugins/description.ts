import swagger from '@fastify/swagger'
import swaggerUi from '@fastify/swagger-ui'
import fp from 'fastify-plugin'
import { version } from '../version.ts'

/** The API described by itself: `/api/openapi.json`, and a page to read it at `/api/docs`. */
export const descriptionPlugin = fp(
  async (app) => {
    await app.register(swagger, {
      openapi: {
        openapi: '3.1.0',
        info: {
          title: 'Hexcairn',
          version,
          description: 'Hand in machine code for a bare Z80 board and have it graded on what the board did.',
        },
        components: { securitySchemes: { session: { type: 'apiKey', in: 'cookie', name: 'hexcairn' } } },
        tags: [
          { name: 'session', description: 'Signing in and out, accounts' },
          { name: 'courses', description: 'Courses and their members' },
          { name: 'exercises', description: 'Exercises, their documents and times' },
          { name: 'submissions', description: 'Handing in, reports, traces' },
          { name: 'teaching', description: 'Class view, marks, review' },
          { name: 'boards', description: 'Board profiles' },
          { name: 'server', description: 'The server itself' },
        ],
      },
    })
    await app.register(swaggerUi, { routePrefix: '/api/docs', staticCSP: true })
    app.get('/api/openapi.json', { schema: { hide: true } }, async () => app.swagger())
  },
  { name: 'description' },
)
