import type { BoardProfile } from '../../board/index.ts'
import type { Addr, TState } from '../../cpu/index.ts'
import { showRange, showWord } from '../../image/index.ts'
import type { LoopRange, Recording, RunRequest } from '../../run/index.ts'
import { walkOver, type InputRead, type RunWalk } from './run-walk.ts'

/** Something outside the program that a run took its way from: keys, switches, the timer. */
export interface AwaitedInput {
  readonly what: 'key' | 'switches' | 'timer'
  /** The program's own instruction: the IN, the CALL into the firmware, the HALT, the EI; or where the loop begins. */
  readonly at: Addr
  /** The firmware routine it called there; null where it looked itself. */
  readonly routine: string | null
  /** The longest time on end for which it looked again and again; 0 where it looked once, and for the timer. */
  readonly tStates: TState
  /** It was still waiting when the run was ended. */
  readonly isOpen: boolean
  /** One sentence for the author: `Your answer waited for a key at 4012h in GETKEY for 1.2 s.` */
  readonly words: string
}

/** Looks further apart than this, in seconds, are no longer one wait. */
const apart = 0.5
/** What lasts less, in seconds, is a look and no wait. */
const shortest = 0.005

/** The reads of one port from one place of the program. */
interface Looks {
  readonly what: 'key' | 'switches'
  readonly at: Addr
  readonly routine: string | null
  readonly tStates: TState
  readonly isOpen: boolean
}

/**
 * What a run waited for or looked at, from its reads of the ports of keys and switches and from interrupts that were let in
 * while the timer stood still; in the order of their first looks. All that is known of the board is in its profile.
 */
export function awaitedInputs(
  recording: Recording,
  request: RunRequest,
  walk: RunWalk = walkOver(recording, request, inputPorts(request.profile)),
): readonly AwaitedInput[] {
  const { profile } = request
  const places = new Map<string, InputRead[]>()
  for (const read of walk.reads) {
    const key = `${read.port} ${read.at}`
    const before = places.get(key)
    if (before === undefined) places.set(key, [read])
    else before.push(read)
  }
  const looks = [...places.values()].flatMap((reads) => looksOf(reads, recording, profile))
  const told = looks.map((each) => ({ ...each, words: lookWords(each, recording, profile) }))
  const timer = awaitedTimer(recording, request, walk)
  return timer === null ? told : [...told, timer]
}

/** The ports on which the board's inputs are read. */
export function inputPorts({ keypad, switches }: BoardProfile): readonly number[] {
  return switches === null ? [keypad.rowPort] : [keypad.rowPort, switches.port]
}

function hasEnded({ result }: Recording): boolean {
  return result.end.kind === 'halted' || result.end.kind === 'returned'
}

function looksOf(reads: readonly InputRead[], recording: Recording, profile: BoardProfile): readonly Looks[] {
  const [first] = reads
  if (first === undefined) return []
  const gap = apart * profile.clockHz
  let [from, last, longest] = [first.t, first.t, 0]
  for (const { t } of reads) {
    if (t - last > gap) from = t
    last = t
    longest = Math.max(longest, last - from)
  }
  const isOpen = !hasEnded(recording) && recording.result.tStates - last <= gap
  const routine = profile.firmware.routines.find(({ address }) => address === first.through)?.name ?? null
  const what = first.port === profile.keypad.rowPort ? 'key' : 'switches'
  return [{ what, at: first.at, routine, tStates: longest, isOpen }]
}

function lookWords(
  { what, at, routine, tStates, isOpen }: Looks,
  { result }: Recording,
  profile: BoardProfile,
): string {
  const where = `at ${showWord(at)}${routine === null ? '' : ` in ${routine}`}`
  const thing = what === 'key' ? 'a key' : 'a switch'
  if (isOpen && result.end.kind === 'proven-loop') return `Your answer waits for ${thing} ${where}, and none comes.`
  if (isOpen) {
    const after = secondsText(result.tStates, profile.clockHz)
    return `Your answer was waiting for ${thing} ${where} when the run was stopped after ${after}.`
  }
  if (tStates < shortest * profile.clockHz) {
    return `Your answer looked at the ${what === 'key' ? 'keys' : 'switches'} ${where}.`
  }
  return `Your answer waited for ${thing} ${where} for ${secondsText(tStates, profile.clockHz)}.`
}

/** `8 s`, `1.25 s`, `120 ms`: to three figures. */
export function secondsText(tStates: TState, clockHz: number): string {
  const ms = (tStates * 1000) / clockHz
  const rounded = Number(ms.toPrecision(3))
  return rounded >= 1000 ? `${rounded / 1000} s` : `${rounded} ms`
}

const opcodeEi = 0xfb

/** Interrupts let in while the timer stands still: none can come. */
function awaitedTimer(recording: Recording, request: RunRequest, { seen }: RunWalk): AwaitedInput | null {
  const { result } = recording
  if (request.profile.timer === null || request.given.isTimerOn) return null
  const { iff1 } = result.registers
  const base = { what: 'timer', routine: null, tStates: 0 } as const
  if (iff1 && result.end.kind === 'halted') {
    const words = `Your answer halts at ${showWord(result.lastPc)} with interrupts on, but the timer is off.`
    return { ...base, at: result.lastPc, isOpen: true, words }
  }
  const isOwn = (address: Addr): boolean =>
    request.image.segments.some(({ start, bytes }) => address >= start && address < start + bytes.length)
  const enabling = [...seen].find((pc) => isOwn(pc) && result.memory[pc] === opcodeEi)
  if (enabling === undefined) return null
  const loop = loopOf(recording)
  if (iff1 && loop !== null) {
    const round = showRange(loop.from, loop.to)
    const words = `Your answer lets interrupts in and goes round ${round}, but the timer is off.`
    return { ...base, at: loop.from, isOpen: true, words }
  }
  const words = `Your answer lets interrupts in at ${showWord(enabling)}, but the timer is off.`
  return { ...base, at: enabling, isOpen: iff1 && !hasEnded(recording), words }
}

function loopOf({ result: { end } }: Recording): LoopRange | null {
  return end.kind === 'proven-loop' || end.kind === 'budget-used-up' ? end.loop : null
}
