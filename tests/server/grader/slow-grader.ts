import { buildGrader } from '../../../server/app.ts'
import { readConfig } from '../../../server/config.ts'

// A grader process that takes a submission up and never comes to an end; killed by the test that started it.
await buildGrader({
  config: readConfig(process.env),
  pool: {
    size: 1,
    grade: () => new Promise(() => {}),
    diagnose: () => new Promise(() => {}),
    warm: async () => {},
    close: async () => {},
  },
})
console.log('grading')
setInterval(() => {}, 1000)
