import { eventCode } from '../../board/index.ts'
import type { Addr } from '../../cpu/index.ts'
import { showByte, showWord, type Image } from '../../image/index.ts'
import type { RunResult } from '../../run/index.ts'
import { registerNames } from '../case.ts'
import { endOf, type CaseRun } from '../case-run.ts'
import { choice, list, optional, required, whole, word, type ReadFields } from '../schema/index.ts'
import { bytesText } from '../words.ts'
import { checkKind, failed, orOfCase, passed } from './check.ts'
import { endText } from './end-text.ts'
import { startOfStack } from './memory.ts'
import { registerText, registerValue } from './registers.ts'

const fields = {
  at: required(orOfCase(word), 'Where the first byte of the program is loaded instead.'),
  registers: optional(
    list(choice(registerNames), 0, 25),
    'Registers that must hold the same at the end too.',
    [],
    'none',
  ),
  stackBytes: optional(whole(0, 1024), 'Bytes below the start of the stack that may differ.', 64),
}

type Wants = ReadFields<typeof fields>

/** Bytes that differ by nature: the program as loaded and as moved, and a driver that calls it by its address. */
function isOwn(run: CaseRun, by: number, address: Addr): boolean {
  const holds = (segments: Image['segments'], shift: number): boolean =>
    segments.some(({ start, bytes }) => address >= start + shift && address < start + shift + bytes.length)
  return (
    holds(run.request.image.segments, 0) ||
    holds(run.program.image.segments, 0) ||
    holds(run.program.image.segments, by)
  )
}

/** The first byte of RAM in which the two runs ended differently. */
function differentByte(check: Wants, run: CaseRun, moved: RunResult, by: number): Addr | null {
  const top = startOfStack(run)
  for (const { kind, from, to } of run.profile.memory) {
    if (kind !== 'ram') continue
    for (let address = from; address <= to; address++) {
      if (run.result.memory[address] === moved.memory[address]) continue
      if (isOwn(run, by, address) || (address < top && address >= top - check.stackBytes)) continue
      return address
    }
  }
  return null
}

/** What was written to ports, in order: port and value. */
function written({ events }: RunResult): readonly number[] {
  const found: number[] = []
  for (let i = 0; i < events.length; i++) {
    if (events.codeAt(i) === eventCode.portWrite) found.push(events.whereAt(i), events.valueAt(i))
  }
  return found
}

/** How the moved program differs, as a phrase; null when it does not. */
function difference(check: Wants, run: CaseRun, moved: RunResult, by: number): string | null {
  const { result } = run
  if (result.end.kind !== moved.end.kind) return endText(moved.end, moved.lastPc, run.profile)
  const register = check.registers.find(
    (each) => registerValue(result.registers, each) !== registerValue(moved.registers, each),
  )
  if (register !== undefined) return registerText(register, registerValue(moved.registers, register))
  const address = differentByte(check, run, moved, by)
  if (address !== null) return `${showByte(moved.memory[address] ?? 0)} at ${showWord(address)}`
  const [here, there] = [written(result), written(moved)]
  const i = here.findIndex((value, k) => there[k] !== value)
  if (i < 0 && here.length === there.length) return null
  const at = i < 0 ? here.length : i & ~1
  return there.length <= at
    ? `fewer port writes (${there.length / 2})`
    : `${bytesText([there[at + 1] ?? 0])} to port ${showByte(there[at] ?? 0)} as port write ${at / 2 + 1}`
}

/** How far up the program is moved. */
function distance(at: Addr, { program }: CaseRun): number {
  return at - (program.image.segments[0]?.start ?? 0)
}

export const runsElsewhere = checkKind({
  name: 'runs-elsewhere',
  category: 'the program at another address',
  about:
    'The same bytes do the same when they are loaded somewhere else: jumps are relative, and nothing in the program is named by its address.',
  example: ['at: 4200h', 'registers: [hl]'],
  fields,
  needsEnd: true,
  cost: 2,
  describe: (check) => `the program does the same when it is loaded at ${showWord(check.at)}`,
  mayBeChance: (check, run) => run.moved(distance(check.at, run)).undefinedUse?.isDecisive === true,
  evaluate(check, run) {
    const by = distance(check.at, run)
    const wanted = `the same outcome at ${showWord(check.at)}`
    const moved = run.moved(by)
    const other = difference(check, run, moved, by)
    if (other === null) return passed(`the same outcome at ${showWord(check.at)}`, wanted, null, endOf(run))
    const message = `Loaded at ${showWord(check.at)} the same bytes do something else: ${other}.`
    return failed(other, wanted, message, endOf(run))
  },
})
