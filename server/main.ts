import { serve } from './commands/serve.ts'

process.exitCode = await serve()
