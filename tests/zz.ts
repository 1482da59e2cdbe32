import { benchEight } from '../core/board/index.ts'
import { grade } from '../core/grading/index.ts'
import { handedIn, otherAnswers } from './core/exercise/other-answers.ts'
import { exerciseOf, folders, mistakesOf, programOf } from './core/exercise/tram-depot.ts'
for (const f of folders.slice(0, 12)) {
  const e = exerciseOf(f)
  const rows: [string, number][] = []
  for (const m of mistakesOf(f)) rows.push([m.file, grade(programOf(f, m.file, 3), e, benchEight, { seed: 3 }).score])
  for (const a of otherAnswers(f)) if (a.file.startsWith('wrong')) rows.push(['o:' + a.file, grade(handedIn(a, e, 3), e, benchEight, { seed: 3 }).score])
  for (const t of ['HALT', 'RET', 'NOP\n HALT', 'JR $', 'XOR A\n RET','XOR A\n HALT']) rows.push([t.replace('\n', ';'), grade({ format: e.accepts.includes('assembly') ? 'assembly' : 'hex', text: e.accepts.includes('assembly') ? ' ' + t + '\n' : '4040: 76' }, e, benchEight, { seed: 3 }).score])
  console.log(f, rows.map(([a, b]) => `${a}=${b}`).join('  '))
}
