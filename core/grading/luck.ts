import { withinWork, workDone } from '../board/index.ts'
import type { Addr, Registers } from '../cpu/index.ts'
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
  type CaseRun,
  type Check,
  type RegisterName,
} from '../exercise/index.ts'
import { showByte, showWord } from '../image/index.ts'
import { memoryAtStart, registersAtStart, type RunRequest } from '../run/index.ts'
import { decideOn, type Decided } from './decide.ts'
import { caseRun, startOf, type CaseSetting } from './graded-run.ts'

/** Runs at most, by their T-states, to find which register or byte it was. */
const workForCulprit = 400_000_000
const fewestTries = 8

/**
 * Of checks that passed on a run those that did so by luck: on another start of the same case, with other values in what
 * nothing sets, they fail. Each with its first failing run. Only where such a value may have mattered is anything run again,
 * and no longer than `work` lasts (`countWork`); what was found until then stands.
 */
export function luckyChecks(
  setting: CaseSetting,
  run: CaseRun,
  passed: readonly Check[],
  work: number,
): { readonly lucky: ReadonlyMap<string, Decided>; readonly work: number } {
  const lucky = new Map<string, Decided>()
  const before = workDone()
  withinWork(work, () => findLucky(setting, run, passed, lucky))
  return { lucky, work: workDone() - before }
}

function findLucky(setting: CaseSetting, run: CaseRun, passed: readonly Check[], lucky: Map<string, Decided>): void {
  const use = run.result.undefinedUse
  if (use === undefined) return
  const { end, steps } = run.result
  // Where a program that crashed went then is chance, and told as the crash.
  const isCrash = (end.kind === 'left-program' || end.kind === 'stack-fault') && use.decisiveStep >= steps - 1
  const isDecisive = use.isDecisive && !isCrash
  let suspects = passed.filter(
    (check) =>
      (isDecisive && kindNamed(check.kind)?.needsRun === true) ||
      prepareCheck(setting.exercise, check, setting.instance.of.id)?.mayBeChance(run) === true,
  )
  if (suspects.length === 0) return
  const { exercise, profile, program, instance, seed } = setting
  for (const start of otherStarts(startOf(run.request), run.result.tStates, isDecisive ? use.constants : [])) {
    if (suspects.length === 0) break
    const other = caseRun(setting, runRequestFor(exercise, profile, program, instance.id, seed, start))
    const failed = suspects.flatMap((check) => {
      const found = decided(setting, check, other)
      return found.outcome === 'passed' ? [] : [{ check, found }]
    })
    if (failed.length === 0) continue
    const [first] = failed
    for (const { check, found } of failed) lucky.set(check.id, { ...found, message: luckText(null, found) })
    const culprit = first === undefined ? null : culpritOf(setting, run, other.request, first.check)
    for (const { check, found } of failed) lucky.set(check.id, { ...found, message: luckText(culprit, found) })
    suspects = suspects.filter((check) => !lucky.has(check.id))
  }
}

function decided(setting: CaseSetting, check: Check, run: CaseRun): Decided {
  const prepared = prepareCheck(setting.exercise, check, setting.instance.of.id)
  if (prepared === undefined) throw new Error(`the check ${check.id} was never read`)
  return decideOn(prepared, run)
}

function luckText(culprit: string | null, { message }: Decided): string {
  const what = culprit ?? 'it hangs on what registers and memory hold before anything sets them'
  return `This passed by luck: ${what}. On another day something else is there. Run again with other values: ${message}`
}

/**
 * The one register, flag or byte that has to hold what it does, found by putting in what the other start has: `A was 0Bh
 * already`. Null where it takes more than one.
 */
function culpritOf(setting: CaseSetting, run: CaseRun, other: RunRequest, check: Check): string | null {
  const { request, result } = run
  let tries = Math.max(fewestTries, Math.floor(workForCulprit / (result.tStates + 20_000)))
  const failsWith = (changed: RunRequest): boolean => {
    tries -= 1
    return tries >= 0 && decided(setting, check, caseRun(setting, changed)).outcome !== 'passed'
  }
  const [mine, others] = [registersAtStart(request), registersAtStart(other)]
  for (const register of singleRegisters) {
    if (!isUndefined(request, register)) continue
    const value = registerValue(mine, register)
    if (value === registerValue(others, register)) continue
    if (failsWith(withRegister(request, register, registerValue(others, register))))
      return `${registerText(register, value).replace(' = ', ' was ')} already`
  }
  const memory = memoryAtStart(request)
  const elsewhere = memoryAtStart(other)
  const use = result.undefinedUse
  let bytes = Array.from(memory.keys()).filter(
    (at) => use?.wasByteUndefined(at) === true && memory[at] !== elsewhere[at],
  )
  if (bytes.length === 0 || !failsWith(withBytes(request, bytes, elsewhere))) return null
  while (bytes.length > 1) {
    const half = bytes.slice(0, bytes.length >> 1)
    const rest = bytes.slice(bytes.length >> 1)
    if (failsWith(withBytes(request, half, elsewhere))) bytes = half
    else if (failsWith(withBytes(request, rest, elsewhere))) bytes = rest
    else return null
  }
  const [at = 0] = bytes
  return `${showWord(at)} held ${showByte(memory[at] ?? 0)} already`
}

/** Registers of 8 bits, and of the second set the pairs. */
const singleRegisters: readonly RegisterName[] = registerNames.filter(
  (name) => name.endsWith('_') || (placeOfRegister(name).half !== 'whole' && name !== 'i') || name === 'r',
)

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
