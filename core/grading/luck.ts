import { withinWork, workDone } from '../board/index.ts'
import { registerParts, type Addr, type Registers } from '../cpu/index.ts'
import {
  kindNamed,
  otherStarts,
  partsOfRegister,
  placeOfRegister,
  prepareCheck,
  registerNames,
  registerText,
  registerValue,
  runRequestFor,
  sameStarts,
  startOfSame,
  type CaseRun,
  type Check,
  type PreparedCheck,
  type RegisterName,
  type StartNumber,
} from '../exercise/index.ts'
import { showByte, showWord } from '../image/index.ts'
import { memoryAtStart, registersAtStart, type RunRequest } from '../run/index.ts'
import { decideOn, isPassedOn, type Decided } from './decide.ts'
import { caseRun, startOf, type CaseSetting } from './graded-run.ts'
import { isSameOutcome, isSamePath } from './same-path.ts'

/** Work (`countWork`) that a report may take at least, and as many times what its cases took, to find luck. */
const [workAtLeast, timesWork] = [600_000, 2]
/** Searches for the register or byte that it was, in one report; each is a few runs. */
const mostSearches = 2

/**
 * Finds the checks of a report that passed by luck: on another start of the same case, with other values in what nothing
 * sets, they fail. Only where such a value may have mattered is anything run again, and no longer than about twice as much
 * as the cases themselves took; what was found until then stands.
 */
export class LuckSearch {
  #work = workAtLeast
  #searches = mostSearches
  #culprit: RegisterName | null = null
  #turn = 0

  /** Those of `passed`, each with its first failing run. `work` is what the case took. */
  luckyChecks(
    setting: CaseSetting,
    run: CaseRun,
    passed: readonly Check[],
    work: number,
  ): ReadonlyMap<string, Decided> {
    const lucky = new Map<string, Decided>()
    this.#work += timesWork * work
    const before = workDone()
    withinWork(Math.max(0, this.#work), () => {
      this.#find(setting, run, passed, lucky)
    })
    this.#work -= workDone() - before
    return lucky
  }

  #find(setting: CaseSetting, run: CaseRun, passed: readonly Check[], lucky: Map<string, Decided>): void {
    const use = run.result.undefinedUse
    if (use === undefined) return
    const { end, steps } = run.result
    // Where a program that crashed went then is chance, and told as the crash.
    const isCrash = (end.kind === 'left-program' || end.kind === 'stack-fault') && use.decisiveStep >= steps - 1
    const isDecisive = use.isDecisive && !isCrash
    let suspects = passed.flatMap((check) => {
      const isCompared = prepared(setting, check).mayBeChance(run)
      return isCompared || (isDecisive && kindNamed(check.kind)?.needsRun === true) ? [{ check, isCompared }] : []
    })
    if (suspects.length === 0) return
    const { exercise, profile, program, instance, seed } = setting
    const starts = new Starts(run, isDecisive, this.#turn)
    this.#turn += 1
    for (let start = starts.next(); start !== null && suspects.length > 0; start = starts.next()) {
      const request = runRequestFor(exercise, profile, program, instance.id, seed, start)
      const other = caseRun(setting, request, start < 0)
      starts.learn(start, other)
      const isSameWay = isSamePath(run, other)
      const isSame = isSameWay && isSameOutcome(run, other)
      const failed = suspects.flatMap(({ check, isCompared }) => {
        // It looks at nothing that is another thing there.
        if (isSame && !isCompared) return []
        if (isSameWay && kindNamed(check.kind)?.isOfPath === true) return []
        if (isPassedOn(prepared(setting, check), other)) return []
        return [{ check, found: decideOn(prepared(setting, check), other) }]
      })
      const [first] = failed
      if (first === undefined) continue
      for (const { check, found } of failed) lucky.set(check.id, { ...found, message: luckText(null, found) })
      const culprit = this.#culpritOf(setting, run, other.request, first.check)
      for (const { check, found } of failed) lucky.set(check.id, { ...found, message: luckText(culprit, found) })
      suspects = suspects.filter(({ check }) => !lucky.has(check.id))
    }
  }

  /**
   * The one register, flag or byte that has to hold what it does, found by putting in what the other start has: `A was 0Bh
   * already`. Null where it takes more than one.
   */
  #culpritOf(setting: CaseSetting, run: CaseRun, other: RunRequest, check: Check): string | null {
    const { request, result } = run
    const failsWith = (changed: RunRequest): boolean => !isPassedOn(prepared(setting, check), caseRun(setting, changed))
    const [mine, others] = [registersAtStart(request), registersAtStart(other)]
    const registers = singleRegisters.filter(
      (name) => isUndefined(request, name) && registerValue(mine, name) !== registerValue(others, name),
    )
    const withOthers = (names: readonly RegisterName[]): RunRequest =>
      names.reduce((made, name) => withRegister(made, name, registerValue(others, name)), request)
    const told = (name: RegisterName): string =>
      `${registerText(name, registerValue(mine, name)).replace(' = ', ' was ')} already`
    const decidedBy = result.undefinedUse?.decidedBy ?? null
    const likely = registers.filter(
      (name) => name === this.#culprit || (decidedBy !== null && partNumbersOf(name).includes(decidedBy)),
    )
    for (const name of likely) {
      if (!failsWith(withOthers([name]))) continue
      this.#culprit = name
      return told(name)
    }
    if (this.#searches <= 0) return null
    this.#searches -= 1
    const one = oneOf(registers, (some) => failsWith(withOthers(some)))
    if (one !== null) {
      this.#culprit = one
      return told(one)
    }
    const [memory, elsewhere] = [memoryAtStart(request), memoryAtStart(other)]
    const bytes: Addr[] = []
    for (const { kind, from, to } of setting.profile.memory) {
      for (let at = from; kind === 'ram' && at <= to; at++)
        if (memory[at] !== elsewhere[at] && result.undefinedUse?.wasByteUndefined(at) === true) bytes.push(at)
    }
    const at = oneOf(bytes, (some) => failsWith(withBytes(request, some, elsewhere)))
    return at === null ? null : `${showWord(at)} held ${showByte(memory[at] ?? 0)} already`
  }
}

/** The starts that a case is tried on, one after the other. */
class Starts {
  readonly #others: StartNumber[]
  readonly #same: StartNumber[] = []
  readonly #seen: Set<StartNumber>
  #sameLeft: number
  #isSameNext = false

  constructor({ request, result }: CaseRun, isDecisive: boolean, turn: number) {
    const first = startOf(request)
    this.#others = [...otherStarts(first, result.tStates, turn)]
    this.#seen = new Set([first, ...this.#others])
    this.#sameLeft = isDecisive ? sameStarts(result.tStates) : 0
    for (const { with: value, isWord } of result.undefinedUse?.comparisons ?? []) this.#add(startOfSame(value, isWord))
    for (const byte of result.undefinedUse?.constants ?? []) this.#add(startOfSame(byte))
  }

  next(): StartNumber | null {
    const isSame = this.#others.length === 0 || (this.#isSameNext && this.#same.length > 0)
    this.#isSameNext = !isSame
    if (!isSame) return this.#others.shift() ?? null
    if (this.#sameLeft <= 0) return this.#others.shift() ?? null
    this.#sameLeft -= 1
    return this.#same.shift() ?? this.#others.shift() ?? null
  }

  /**
   * What was compared on a start of one value everywhere may be that value with something added or turned over: then
   * another one makes the two equal.
   */
  learn(start: StartNumber, { result }: CaseRun): void {
    if (start >= 0) return
    const same = -start
    for (const { value, with: wanted, isWord } of result.undefinedUse?.comparisons ?? []) {
      if (value === wanted) continue
      this.#add(startOfSame(same + wanted - value, isWord), true)
      this.#add(startOfSame(same ^ wanted ^ value, isWord), true)
    }
  }

  #add(start: StartNumber, isFirst = false): void {
    if (this.#seen.has(start)) return
    this.#seen.add(start)
    if (isFirst) this.#same.unshift(start)
    else this.#same.push(start)
  }
}

function prepared({ exercise, instance }: CaseSetting, check: Check): PreparedCheck {
  const found = prepareCheck(exercise, check, instance.of.id)
  if (found === undefined) throw new Error(`the check ${check.id} was never read`)
  return found
}

function luckText(culprit: string | null, { message }: Decided): string {
  const what = culprit ?? 'it hangs on what registers and memory hold before anything sets them'
  return `This passed by luck: ${what}. On another day something else is there. Run again with other values: ${message}`
}

/** The one of all with which alone it fails, halved again and again; null where there is none. */
function oneOf<T>(all: readonly T[], fails: (some: readonly T[]) => boolean): T | null {
  if (all.length === 0 || !fails(all)) return null
  let some = all
  while (some.length > 1) {
    const half = some.slice(0, some.length >> 1)
    const rest = some.slice(some.length >> 1)
    if (fails(half)) some = half
    else if (fails(rest)) some = rest
    else return null
  }
  return some[0] ?? null
}

/** Registers of 8 bits, and of the second set the pairs. */
const singleRegisters: readonly RegisterName[] = registerNames.filter(
  (name) => name.endsWith('_') || (placeOfRegister(name).half !== 'whole' && name !== 'i') || name === 'r',
)

function partNumbersOf(register: RegisterName): readonly number[] {
  return partsOfRegister(register).map((name) => registerParts.findIndex((part) => part === name))
}

function isUndefined({ given }: RunRequest, register: RegisterName): boolean {
  const parts: readonly string[] = given.undefined?.registers ?? []
  return partsOfRegister(register).every((part) => parts.includes(part))
}

function withRegister(request: RunRequest, register: RegisterName, value: number): RunRequest {
  const { pair, half } = placeOfRegister(register)
  const before = Number(registersAtStart(request)[pair])
  const whole =
    half === 'whole' ? value : half === 'high' ? (before & 0xff) | (value << 8) : (before & 0xff00) | (value & 0xff)
  const registers: Partial<Registers> = { ...request.given.registers, [pair]: whole }
  return { ...request, given: { ...request.given, registers } }
}

/** Put in first, so that whatever the exercise gives lies over it. */
function withBytes(request: RunRequest, at: readonly Addr[], from: Uint8Array): RunRequest {
  const pieces = at.map((address) => ({ at: address, bytes: [from[address] ?? 0] }))
  return { ...request, given: { ...request.given, memory: [...pieces, ...request.given.memory] } }
}
