/**
 * Going anywhere in a recorded run, and asking it: `npx tsx tests/benchmarks/seek.ts [MILLION T-STATES]` (default 8). For each
 * program: milliseconds to record, bytes that the checkpoints keep, p50 and p99 of 3,000 visits in random order to a step, to
 * a T-state and to an event, and each question once on a fresh recording (median of several, the first ones left out).
 */
import { readFileSync } from 'node:fs'
import { assemble } from '../../core/assembler/index.ts'
import { benchEight, type BoardProfile } from '../../core/board/index.ts'
import { Random, record, type Recording, type RunRequest } from '../../core/run/index.ts'
import { workloads } from './workloads.ts'

const million = Number(process.argv[2] ?? 8)
const budget = million * 1_000_000
const visits = 3000
const rounds = million > 20 ? 2 : 9

const given = { registers: {}, memory: [], keys: [], switches: 0, fill: { seed: 1 }, isTimerOn: true } as const

function onBench(text: string): RunRequest {
  const { image, entry, problems } = assemble(text, { origin: 0x4000, symbols: benchEight.firmware.symbols })
  if (problems.length > 0) throw new Error(JSON.stringify(problems))
  return { profile: benchEight, image, entry, ends: 'halt', given, budget, isLoopRunOut: true }
}

/** A board that is RAM from end to end, for the programs of the speed table: they write all over it. */
const ramBoard: BoardProfile = {
  ...benchEight,
  memory: [{ kind: 'ram', from: 0, to: 0xffff }],
  firmware: { ...benchEight.firmware, hex: '', ready: [], returnTo: null },
}

function onRam(name: string): RunRequest {
  const text = readFileSync(new URL(`workloads/${name}.asm`, import.meta.url), 'utf8')
  const { image, entry } = assemble(text, { origin: 0x100 })
  const isWord = workloads.find((workload) => workload.name === name)?.isRoundsWord === true
  const memory = [{ at: 0x4000, bytes: isWord ? [0xff, 0xff] : [0xff] }]
  return {
    ...{ profile: ramBoard, image, entry, ends: 'halt', given: { ...given, isTimerOn: false, memory }, budget },
    ...{ isLoopRunOut: true, mayExecute: [{ from: 0, to: 0xffff }] },
  }
}

const programs: Readonly<Record<string, () => RunRequest>> = {
  'display by PAINT': () => onBench('LOOP: CALL PAINT\n JR LOOP'),
  'tone and digits': () =>
    onBench(`LOOP: LD B,94\n DJNZ $\n XOR 1\n OUT (22H),A\n LD HL,4700H\n LD C,(HL)\n LD D,A\n LD A,C\n OUT (20H),A
 LD A,1\n OUT (21H),A\n LD A,D\n JR LOOP`),
  'calls, moves, stack': () =>
    onBench(`LOOP: LD HL,4200H\n LD DE,4300H\n LD BC,256\n LDIR\n LD B,20\nL2: LD A,(HL)\n INC A\n LD (HL),A\n PUSH HL
 CALL SUBR\n POP HL\n INC HL\n DJNZ L2\n LD A,B\n OUT (22H),A\n JR LOOP\nSUBR: ADD HL,DE\n XOR A\n RET`),
  'memory (64 KB RAM)': () => onRam('memory'),
  'arithmetic (64 KB RAM)': () => onRam('arithmetic'),
  'board (64 KB RAM)': () => onRam('board'),
}

const ms = (work: () => unknown): number => {
  const start = performance.now()
  work()
  return performance.now() - start
}
const quantile = (times: readonly number[], part: number): number =>
  times.toSorted((a, b) => a - b)[Math.min(times.length - 1, Math.floor(times.length * part))] ?? NaN
const shown = (time: number) => time.toFixed(time < 10 ? 3 : 1)

function visit(name: string, go: () => unknown): string {
  const times = Array.from({ length: visits }, () => ms(go))
  return `${name} p50 ${shown(quantile(times, 0.5))} p99 ${shown(quantile(times, 0.99))}`
}

const busyByte = (recording: Recording) => recording.result.registers.sp - 2

/** Each gets a recording that nothing was asked of before. */
const questions: Readonly<Record<string, (recording: Recording) => unknown>> = {
  'last writer, of a byte that nobody writes': ({ questions: ask, result }) => ask.lastWriter(0x47ff, result.steps),
  'writers, of a busy byte': (recording) => recording.questions.writers(busyByte(recording)),
  'last time a register was a value, never': ({ questions: ask, result }) =>
    ask.lastTimeRegisterWas('ixh', 0x137, result.steps),
  'visits of an instruction': ({ questions: ask, result }) => ask.visits(result.lastPc),
  'steps of its first 1,000 visits': ({ questions: ask, result }) => ask.visitSteps(result.lastPc, 0),
  'longest sweep gap': ({ questions: ask }) => ask.longestSweepGap(),
  'instruction at a T-state': ({ questions: ask, result }) => ask.instructionAt(result.tStates / 2),
  'usage by address': ({ questions: ask }) => ask.usage().byAddress,
  'highest stack mark': ({ questions: ask }) => ask.highestStackMark(),
  'read before written': ({ questions: ask }) => ask.readBeforeWritten(0x4600),
  'history of HL': ({ questions: ask }) => ask.history({ kind: 'register', register: 'hl' }),
  'history of a byte': (recording) => recording.questions.history({ kind: 'memory', address: busyByte(recording) }),
  'back to a register change, never': (recording) =>
    recording.find(recording.result.steps, 'back', { kind: 'register-change', register: 'i' }),
  'back to a breakpoint, never': (recording) =>
    recording.find(recording.result.steps, 'back', { kind: 'breakpoint', addresses: [0x47f0, 0x47f1] }),
  'back to the last read of a byte, never': (recording) =>
    recording.find(recording.result.steps, 'back', { kind: 'memory-read', address: 0xfffe }),
  'back to where SP was': (recording) => recording.find(recording.result.steps, 'back', { kind: 'same-sp' }),
}

const random = new Random(20261125)
const slowest = new Map<string, number>()
console.log(`${million} million T-states, milliseconds`)
// A long run takes long to measure: three of them.
const chosen = Object.entries(programs).slice(0, million > 20 ? 3 : undefined)
for (const [name, make] of chosen) {
  const request = make()
  const recordTimes = Array.from({ length: 5 }, () => ms(() => record(request)))
  const recording = record(request)
  const { steps, tStates, events } = recording.result
  console.log(
    `\n${name}: ${tStates} T, ${steps} steps, ${events.length} events; ` +
      `recorded in ${shown(quantile(recordTimes, 0.5))}, checkpoints ${Math.round(recording.checkpointBytes / 1024)} KB`,
  )
  for (let warm = 0; warm < 2000; warm++) recording.at(random.under(steps))
  console.log(`  ${visit('step', () => recording.at(random.under(steps)))}`)
  console.log(`  ${visit('T-state', () => recording.at(recording.stepAt(random.under(tStates))))}`)
  if (events.length > 0)
    console.log(`  ${visit('event', () => recording.at(recording.stepAt(events.timeAt(random.under(events.length)))))}`)
  for (const [question, ask] of Object.entries(questions)) {
    const times = Array.from({ length: rounds }, () => {
      const fresh = record(request)
      return ms(() => ask(fresh))
    })
    const median = quantile(times.slice(rounds > 5 ? 3 : 1), 0.5)
    slowest.set(question, Math.max(slowest.get(question) ?? 0, median))
  }
}
console.log('\nQuestions, the slowest of these programs')
for (const [question, time] of slowest) console.log(`  ${shown(time).padStart(7)}  ${question}`)
