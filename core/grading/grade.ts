import { readProgram, type Program } from '../assembler/index.ts'
import { workDone, type BoardProfile } from '../board/index.ts'
import {
  caseInstances,
  exerciseDigest,
  exerciseFor,
  prepareCheck,
  readOptionsFor,
  staffReadOptionsFor,
  type CaseInstance,
  type CaseRun,
  type Check,
  type Exercise,
  type ProgramText,
} from '../exercise/index.ts'
import { imageDigest, imageSize, type Image, type Problem } from '../image/index.ts'
import type { TState } from '../cpu/index.ts'
import type { RunRequest, RunResult, SwitchMove } from '../run/index.ts'
import { madeProgram } from '../trial/index.ts'
import { decideOn, type Decided } from './decide.ts'
import { engineVersion } from './engine.ts'
import { gradedRun, startOf } from './graded-run.ts'
import { LuckSearch } from './luck.ts'
import { rounded, sharedMarks } from './marks.ts'
import { messageOf } from './message.ts'
import { withNearness } from './nearly-right.ts'
import type { CaseResult, CheckResult, GroupResult, Report } from './report.ts'
import { Tally } from './tally.ts'

export interface GradeOptions {
  /** The student's, which decides their constants and nothing else; 0 unless given. */
  readonly seed?: number
  /** An answer of staff: it may name the exercise's constants, as the model answer may. */
  readonly isStaffAnswer?: boolean
  /** Whether a check that passes must pass whatever nothing has set; true unless given. */
  readonly isLuckJudged?: boolean
  /** Whether a program that one edit would make right has what `nearlyRight` of the exercise says; true unless given. */
  readonly isNearnessJudged?: boolean
  /** Called after each run. Nothing it does changes the report. */
  readonly onProgress?: (progress: { readonly done: number; readonly total: number }) => void
}

/**
 * Marks a hand-in: a pure function, the same arguments give the same report, byte for byte as JSON. A program that
 * cannot be read is no error but a report with the status `unreadable`. Throws only where the exercise itself cannot be
 * run on the profile, which `parseExercise` and `boardMisfits` find out beforehand.
 */
export function grade(
  source: ProgramText,
  exercise: Exercise,
  profile: BoardProfile,
  options: GradeOptions = {},
): Report {
  const placed = exerciseFor(exercise, options.seed ?? 0)
  const readOptions =
    options.isStaffAnswer === true ? staffReadOptionsFor(placed, profile) : readOptionsFor(placed, profile)
  const program = readProgram(source, readOptions)
  return gradeRead(program, refusals(source, program, exercise), exercise, profile, options)
}

/**
 * Marks a program that was read, or made, by other means: an edit of a hand-in that has no text of its own. Whether the
 * exercise accepts its form is not asked; all else is as in `grade`.
 */
export function gradeProgram(
  program: Program,
  exercise: Exercise,
  profile: BoardProfile,
  options: GradeOptions = {},
): Report {
  return gradeRead(program, emptyProgram(program), exercise, profile, options)
}

function gradeRead(
  program: Program,
  refused: readonly Problem[],
  of: Exercise,
  profile: BoardProfile,
  options: GradeOptions,
): Report {
  const { seed = 0, isLuckJudged = true, isNearnessJudged = true } = options
  const exercise = exerciseFor(of, seed)
  const head = headOfReport(of, program, seed)
  const problems = [...program.problems, ...refused]
  if (problems.some((problem) => problem.severity === 'error')) {
    return unreadable(head, exercise, problems)
  }
  const instances = caseInstances(exercise)
  const decided = new Map<string, Decided>()
  const tallies = new Map(
    exercise.checks.map((check) => [check.id, new Tally(check, isEndCheckedFor(exercise, check))]),
  )
  const cases: CaseResult[] = []
  const luck = isLuckJudged ? new LuckSearch() : null
  for (const [i, instance] of instances.entries()) {
    const setting = { exercise, profile, program, instance, seed }
    const before = workDone()
    const run = gradedRun(setting, isLuckJudged)
    cases.push(caseResult(instance, run))
    const here = new Map<string, Decided>()
    for (const check of exercise.checks) {
      const found = decisionOn(exercise, check, instance, run, decided, tallies.get(check.id))
      if (found !== null) here.set(check.id, found)
    }
    const passed = exercise.checks.filter(({ id }) => here.get(id)?.outcome === 'passed')
    const lucky = luck?.luckyChecks(setting, run, passed, workDone() - before)
    for (const [id, each] of here) take(id, lucky?.get(id) ?? each, decided, tallies.get(id))
    options.onProgress?.({ done: i + 1, total: instances.length })
  }
  const report = graded(head, exercise, problems, cases, decided, tallies)
  if (!isNearnessJudged) return report
  const passes = (image: Image): boolean => {
    const made = madeProgram(image, program.entry, readOptionsFor(exercise, profile))
    const alone = { seed, isLuckJudged, isNearnessJudged: false }
    return gradeProgram({ ...made, symbols: program.symbols }, of, profile, alone).isFullMarks
  }
  return withNearness(report, program, { exercise, profile, seed, passes })
}

/** What only the exercise can refuse: another form than it accepts, a program without a byte. */
function refusals(source: ProgramText, program: Program, exercise: Exercise): readonly Problem[] {
  const at = startOfProgram
  const problems: Problem[] = []
  if (!exercise.accepts.includes(source.format)) {
    const allowed = exercise.accepts.join(', ')
    const message = `This exercise takes ${allowed}; the program was handed in as ${source.format}.`
    problems.push({ severity: 'error', code: 'format-not-accepted', at, found: source.format, allowed, message })
  }
  return [...problems, ...emptyProgram(program)]
}

function emptyProgram(program: Program): readonly Problem[] {
  if (!program.isOk || imageSize(program.image) > 0) return []
  const message = 'The program has no bytes: there is nothing to load and run.'
  const text = { code: 'empty-program', found: 'no bytes', allowed: 'at least one byte', message }
  return [{ severity: 'error', at: startOfProgram, ...text }]
}

const startOfProgram = { line: 1, column: 1, length: 1 }

/** What a check finds on one run; null where it is not decided there, or is wrong already and no more of it counts. */
function decisionOn(
  exercise: Exercise,
  check: Check,
  instance: CaseInstance,
  run: CaseRun,
  decided: ReadonlyMap<string, Decided>,
  tally: Tally | undefined,
): Decided | null {
  if (!isDecidedOn(check, instance)) return null
  if (isWrong(decided.get(check.id)) && tally?.countsAll !== true) return null
  const prepared = prepareCheck(exercise, check, instance.of.id)
  if (prepared === undefined) throw new Error(`the check ${check.id} was never read`)
  return decideOn(prepared, run)
}

/** Its first failing run stands for a check, else its first run. */
function take(id: string, found: Decided, decided: Map<string, Decided>, tally: Tally | undefined): void {
  tally?.add(found)
  const before = decided.get(id)
  if (before === undefined || (!isWrong(before) && found.outcome !== 'passed')) decided.set(id, found)
}

function isWrong(found: Decided | undefined): boolean {
  return found !== undefined && found.outcome !== 'passed'
}

/** Whether on every case of a check another one says how the run has to end. */
function isEndCheckedFor({ checks, cases: all }: Exercise, { cases }: Check): boolean {
  const ends = checks.filter(({ kind }) => kind === 'run-end')
  return all.every(({ id }) => {
    const isOf = (named: Check['cases']): boolean => named === null || named.includes(id)
    return !isOf(cases) || ends.some((end) => isOf(end.cases))
  })
}

function isDecidedOn({ cases }: Check, { of }: CaseInstance): boolean {
  return cases === null || cases.includes(of.id)
}

function caseResult(instance: CaseInstance, { result, request }: CaseRun): CaseResult {
  const { end, tStates, steps } = result
  return {
    id: instance.id,
    title: instance.title,
    isVisible: instance.isVisible,
    start: startOf(request),
    end,
    tStates,
    steps,
    ...switchesIn(request, result),
  }
}

/** Without those that are moved to see that it changes nothing. */
function switchesIn({ given }: RunRequest, { tStates }: RunResult): Pick<CaseResult, 'switches'> {
  const all = [{ t: 0, value: given.switches }, ...(given.switchMoves ?? []).flatMap(taskMove)]
  const switches = all.filter(({ t, value }, i) => t <= tStates && (i === 0 || value !== all[i - 1]?.value))
  return switches.length < 2 ? {} : { switches }
}

function taskMove({ at, value, isIdle }: SwitchMove): readonly { readonly t: TState; readonly value: number }[] {
  return isIdle === true ? [] : [{ t: at, value }]
}

function graded(
  head: HeadOfReport,
  exercise: Exercise,
  problems: readonly Problem[],
  cases: readonly CaseResult[],
  decided: ReadonlyMap<string, Decided>,
  tallies: ReadonlyMap<string, Tally>,
): Report {
  const shares = new Map([...tallies].map(([id, tally]) => [id, tally.share]))
  const marks = sharedMarks(exercise, (id) => shares.get(id)?.part ?? 0)
  const checks = exercise.checks.map((check, i): CheckResult => {
    const earned = marks[i] ?? { marks: 0, outOf: 0, counts: 1, heldBy: [] }
    const found = decided.get(check.id)
    const share = shares.get(check.id)?.text ?? null
    const isHeld = earned.counts === 0 && found?.outcome === 'passed'
    return {
      ...headOf(check),
      outcome: isHeld ? 'skipped-by-gate' : (found?.outcome ?? 'not-reached'),
      measured: found?.measured ?? null,
      wanted: found?.wanted ?? null,
      tolerance: found?.tolerance ?? null,
      message: messageOf(exercise, check, found, share, earned),
      decidedAt: found?.decidedAt ?? null,
      share,
      counts: rounded(earned.counts),
      marks: rounded(earned.marks),
      outOf: rounded(earned.outOf),
    }
  })
  const groups = exercise.groups.map((group): GroupResult => {
    const own = marks.filter((_, i) => exercise.checks[i]?.group === group.id)
    const sum = own.reduce((total, each) => total + each.marks, 0)
    return { id: group.id, title: group.title, marks: rounded(sum), outOf: group.marks }
  })
  return {
    ...head,
    status: 'graded',
    problems,
    score: rounded(marks.reduce((sum, each) => sum + each.marks, 0)),
    isFullMarks: checks.every((check) => check.outcome === 'passed'),
    cases,
    groups,
    checks,
    firstWrong: firstWrong(exercise, decided, cases),
  }
}

function headOf(check: Check): Pick<CheckResult, 'id' | 'title' | 'kind' | 'group' | 'isVisible' | 'tells'> {
  const { id, title, kind, group, visible, tells } = check
  return { id, title, kind, group, isVisible: visible, tells }
}

type HeadOfReport = Pick<Report, 'format' | 'engine' | 'exercise' | 'seed' | 'program'>

function headOfReport(exercise: Exercise, program: Program, seed: number): HeadOfReport {
  return {
    format: 'hexcairn-report/1',
    engine: engineVersion,
    exercise: { id: exercise.id, title: exercise.title, digest: exerciseDigest(exercise) },
    seed,
    program: { format: program.format, bytes: imageSize(program.image), digest: imageDigest(program.image) },
  }
}

function unreadable(head: HeadOfReport, exercise: Exercise, problems: readonly Problem[]): Report {
  const marks = sharedMarks(exercise, () => 0)
  return {
    ...head,
    status: 'unreadable',
    problems,
    score: 0,
    isFullMarks: false,
    cases: [],
    groups: exercise.groups.map((group) => ({ id: group.id, title: group.title, marks: 0, outOf: group.marks })),
    checks: exercise.checks.map((check, i) => ({
      ...headOf(check),
      outcome: 'not-reached',
      measured: null,
      wanted: null,
      tolerance: null,
      message: 'Not reached: the program could not be read.',
      decidedAt: null,
      share: null,
      counts: 1,
      marks: 0,
      outOf: rounded(marks[i]?.outOf ?? 0),
    })),
    firstWrong: null,
  }
}

/**
 * The first wrong thing that could be observed: over visible failed checks, those behind a shut gate too, and visible
 * cases, the earliest T-state of the first case with one. What passed by luck counts only where nothing else is wrong, and
 * last what was decided before anything ran (size, bytes).
 */
function firstWrong(
  exercise: Exercise,
  decided: ReadonlyMap<string, Decided>,
  cases: readonly CaseResult[],
): Report['firstWrong'] {
  const order = new Map(cases.filter((each) => each.isVisible).map((each, i) => [each.id, i]))
  const wrong = exercise.checks.flatMap(({ id, visible }) => {
    const found = decided.get(id)
    const isShown = visible && found !== undefined && found.outcome !== 'passed' && order.has(found.decidedAt.caseId)
    return isShown ? [{ ...found.decidedAt, checkId: id }] : []
  })
  const ran = wrong.filter((each) => each.t > 0)
  // What passed by luck went wrong on another start only.
  const starts = new Map(cases.map(({ id, start }) => [id, start]))
  const seen = ran.filter((each) => each.start === starts.get(each.caseId))
  const [first] = (seen.length > 0 ? seen : ran.length > 0 ? ran : wrong).toSorted(
    (a, b) => (order.get(a.caseId) ?? 0) - (order.get(b.caseId) ?? 0) || a.t - b.t,
  )
  return first ?? null
}
