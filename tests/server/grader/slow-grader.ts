import { buildGrader } from '../../../server/app.ts'
import { readConfig } from '../../../server/config.ts'
import { poolOf } from '../harness.ts'

// A grader process that takes a submission up and never comes to an end; killed by the test that started it.
const config = readConfig(process.env)
await buildGrader({ config, pool: poolOf(() => new Promise(() => {})) })
console.log('grading')
setInterval(() => {}, 1000)
