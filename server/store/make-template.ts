import { makeTemplate } from './template.ts'

await makeTemplate()
process.exit(0)
