/**
 * Grades of 4 million T-states each: `grades.ts [SECONDS]`. A hand-in is read, assembled, run and checked by registers and
 * memory. Prints how many go into a second of this process's CPU time, which other work on the computer changes little.
 */
import { benchEight } from '../../core/board/index.ts'
import { parseExercise } from '../../core/exercise/index.ts'
import { grade } from '../../core/grading/index.ts'

/**
 * Writes 0, 255 … 1 and adds them up, many times over: about 10 T-states an instruction, as in the workloads, and nothing
 * that an engine may pass over. 0 + 1 + … + 255 = 7F80H.
 */
const handIn = (passes: number) => `
        ORG 4000H
        LD IX,${passes}
AGAIN:  LD DE,4500H
        LD HL,0
        LD B,0
NEXT:   LD A,B
        LD (DE),A
        CALL SUM
        INC DE
        DJNZ NEXT
        DEC IX
        LD A,IXH
        OR IXL
        JR NZ,AGAIN
        LD (4600H),HL
        HALT
SUM:    PUSH BC
        LD C,B
        LD B,0
        ADD HL,BC
        POP BC
        RET
`
const memory = { id: 'memory', kind: 'memory', title: 'The numbers and their sum are stored', group: 'function' }
const { exercise, problems } = parseExercise(
  {
    format: 'hexcairn-exercise/1',
    id: 'bench',
    title: 'Sum of a page',
    board: 'bench-8',
    brief: 'Add up.',
    budget: '8 s',
    program: { constants: {} },
    cases: [{ id: 'sum', title: 'The sum' }],
    groups: [{ id: 'function', title: 'What it does', marks: 100 }],
    checks: [
      { id: 'registers', kind: 'registers', title: 'Counted to the end', group: 'function', want: { b: '0', ix: '0' } },
      {
        ...memory,
        want: [
          { at: '4500h', bytes: '00 FF FE FD' },
          { at: '45FFh', bytes: '01 80 7F' },
        ],
      },
    ],
    model: { file: 'model.asm' },
  },
  { 'model.asm': handIn(156) },
)
if (!exercise) throw new Error(JSON.stringify(problems))

// Two texts in turn, so that nothing can be kept from one grade to the next.
const texts = [handIn(156), handIn(157)]
let count = 0
let tStates = 0
function one(bench: NonNullable<typeof exercise>) {
  const report = grade({ format: 'assembly', text: texts[count % 2] ?? '' }, bench, benchEight)
  if (!report.isFullMarks) throw new Error(JSON.stringify(report.checks))
  tStates += report.cases[0]?.tStates ?? 0
  count += 1
}

// A warm worker: for some hundred grades V8 goes on optimising on other threads, and their time would count here.
while (count < 1_000) one(exercise)
count = 0
tStates = 0
const before = process.cpuUsage()
const end = performance.now() + 1000 * Number(process.argv[2] ?? 4)
while (performance.now() < end) one(exercise)
const { user, system } = process.cpuUsage(before)
console.log(JSON.stringify({ perSecond: (1e6 * count) / (user + system), tStates: tStates / count }))
