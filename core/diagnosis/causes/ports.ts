import type { Program } from '../../assembler/index.ts'
import { eventCode } from '../../board/index.ts'
import { modelProgram, runRequestFor } from '../../exercise/index.ts'
import type { Exercise } from '../../exercise/index.ts'
import { gradeProgram } from '../../grading/index.ts'
import { showByte, showWord } from '../../image/index.ts'
import { run } from '../../run/index.ts'
import type { Detector } from './detector.ts'
import type { Scene } from './scene.ts'
import { handlerVisits } from './handler-visits.ts'
import { edited, idsOf, poked, seenAt, seenAtEnd, type Edit, type Poke } from './signs.ts'

const wrongPort: Detector = {
  id: 'wrong-port',
  title: 'The wrong port',
  looksAt: 'IN and OUT that pass with another port of the board',
  *signs(scene) {
    const { display, speaker, keypad, lamps, switches } = scene.profile
    const ports = [display.segmentPort, display.selectPort, speaker.port, keypad.rowPort, lamps?.port, switches?.port]
    const sites = scene.sites.filter(({ form }) => /^(OUT \(n\),A|IN A,\(n\)|LD C,n)$/.test(form))
    yield* poked(
      scene,
      sites.flatMap((site) =>
        [...new Set(ports)].flatMap((port): readonly Poke[] =>
          port === undefined || port === site.value
            ? []
            : [
                {
                  weight: site.form === 'LD C,n' ? 0.93 : 0.97,
                  address: site.address,
                  bytes: { [site.at]: port },
                  found: `port ${showByte(site.value)}`,
                  wanted: 'another port of the board',
                  message: `${site.text} at ${showWord(site.address)} uses port ${showByte(site.value)}. On this board that is ${nameOf(scene, site.value)}; look up the port that you mean.`,
                },
              ],
        ),
      ),
    )
  },
}

function nameOf({ profile }: Scene, port: number): string {
  const { display, speaker, keypad, lamps, switches } = profile
  const names: readonly (readonly [number | undefined, string])[] = [
    [display.segmentPort, 'the segments of the display'],
    [display.selectPort, 'the digit select of the display'],
    [speaker.port, 'the speaker'],
    [keypad.rowPort, 'the rows of the keypad'],
    [lamps?.port, 'the lamps'],
    [switches?.port, 'the switches'],
  ]
  return names.find(([each]) => each === port)?.[1] ?? 'nothing'
}

/** Whether the task has to do with interrupts at all. */
function usesInterrupts(scene: Scene): boolean {
  const view = scene.main
  const kinds = ['interrupts', 'handler']
  if (scene.exercise.checks.some(({ kind }) => kinds.includes(kind))) return true
  const log = view.model?.events
  for (let i = 0; log !== undefined && i < log.length; i++) if (log.codeAt(i) === eventCode.interrupt) return true
  return false
}

const eiMissing: Detector = {
  id: 'ei-missing',
  title: 'Interrupts are not enabled',
  looksAt: 'EI that passes when put in, or a timer whose ticks are lost while interrupts are off',
  *signs(scene) {
    if (!usesInterrupts(scene)) return
    const { lines } = scene.draft
    const handler = /^(RET|RETI|RETN)$/
    const telling = (address: number, isReturn: boolean): Pick<Poke, 'address' | 'found' | 'wanted' | 'message'> => ({
      address,
      found: isReturn ? 'the handler returns with interrupts off' : 'interrupts stay off',
      wanted: isReturn ? 'EI right before the return' : 'EI once everything is ready',
      message: isReturn
        ? `When an interrupt is accepted the processor turns interrupts off. The handler has to turn them on with EI before it returns (${showWord(address)}), or it is the last one.`
        : 'Interrupts are off after power-on and stay so until EI. Turn them on once the handler and its data are ready.',
    })
    const returns = lines.filter(({ mnemonic, operands }) => handler.test(mnemonic) && operands.length === 0)
    const others = lines.filter(({ mnemonic, label }) => mnemonic === 'HALT' || label !== null || mnemonic === 'DI')
    const edits = [
      ...returns.map((line): Edit => ({
        ...telling(line.address, true),
        weight: 0.97,
        changes: { inside: { [line.index]: 'EI' } },
      })),
      ...others.map((line): Edit => ({
        ...telling(line.address, false),
        weight: 0.965,
        changes: { before: { [line.index]: 'EI' } },
      })),
      ...lines.slice(0, 1).map((line): Edit => ({
        ...telling(line.address, false),
        weight: 0.965,
        changes: { before: { [line.index]: 'EI' } },
      })),
    ]
    yield* edited(scene, edits, true)
    const off = scene.views.flatMap((each) =>
      handlerVisits(scene, each)
        .filter(({ last }) => !last.after.iff1)
        .map(({ last }) => ({ each, last })),
    )
    const [first] = off
    if (first !== undefined) {
      yield { ...telling(first.last.pc, true), ...seenAt(first.each, first.last), weight: 0.935 }
    }
    const view = scene.main
    const accepted = countOf(scene, eventCode.interrupt)
    const hasEi = lines.some(({ mnemonic }) => mnemonic === 'EI')
    if (accepted > 1 || view.result.registers.iff1) return
    yield {
      ...seenAtEnd(view),
      ...telling(returns[0]?.address ?? view.result.lastPc, accepted === 1),
      weight: hasEi && accepted === 0 ? 0.6 : 0.93,
    }
  },
}

function countOf(scene: Scene, code: number): number {
  const { events } = scene.main.result
  let count = 0
  for (let i = 0; i < events.length; i++) if (events.codeAt(i) === code) count += 1
  return count
}

const handlerNotInstalled: Detector = {
  id: 'handler-not-installed',
  title: 'The interrupt handler is not put in its place',
  looksAt: 'interrupts that are accepted while the hook does not lead to the program',
  *signs(scene) {
    const { interruptHook } = scene.profile.layout
    if (!usesInterrupts(scene) || interruptHook === null) return
    const view = scene.main
    const { memory } = view.result
    const target = (memory[interruptHook] ?? 0) | ((memory[interruptHook + 1] ?? 0) << 8)
    const answer = modelProgram(scene.exercise, scene.profile)
    const { model } = view
    const usesHook =
      answer === null ||
      model === null ||
      model.memory[interruptHook] !== view.initial[interruptHook] ||
      model.memory[interruptHook + 1] !== view.initial[interruptHook + 1]
    const swapped = ((target & 0xff) << 8) | (target >> 8)
    if (scene.isInside(target) || scene.isInside(swapped) || !usesHook) return
    yield {
      ...seenAtEnd(view),
      weight: 0.945,
      address:
        scene.draft.lines.find(({ plain }) => plain.some((each) => /^\(.*HOOK|4710/.test(each)))?.address ??
        view.result.lastPc,
      found: `the word at ${showWord(interruptHook)} leads to ${showWord(target)}`,
      wanted: 'the address of your handler, low byte first',
      message: `At an interrupt the firmware goes to the address that stands at ${showWord(interruptHook)}. That is ${showWord(target)}, outside your program, so your handler is never called. Store its address there before EI.`,
    }
  },
}

const handlerTooLong: Detector = {
  id: 'handler-too-long',
  title: 'The interrupt handler takes too long',
  looksAt: 'ticks lost or late, or a handler over its limit, while interrupts work',
  *signs(scene) {
    const failed = scene.failedOf('interrupts', 'handler')
    const [first] = failed.filter(({ check, result }) =>
      check.kind === 'handler' ? /takes|longer|T\b/.test(result.measured ?? '') : true,
    )
    if (first === undefined || first.result.outcome === 'budget-used-up') return
    const lost = countOf(scene, eventCode.interruptLost)
    const accepted = countOf(scene, eventCode.interrupt)
    const isLong = first.check.kind === 'handler' && first.result.outcome === 'out-of-tolerance'
    if (accepted < 2 || (!isLong && lost === 0)) return
    const at = first.result.decidedAt
    yield {
      ...(at === null ? seenAtEnd(scene.main) : { caseId: at.caseId, step: at.step, t: at.t, address: at.address }),
      weight: isLong ? 0.945 : 0.8,
      checkIds: idsOf([first, ...failed.filter((each) => each !== first)]),
      found: first.result.measured ?? `${lost} ticks lost`,
      wanted: first.result.wanted ?? 'none lost',
      message: `${first.result.message} While the handler runs no other interrupt is accepted, so it has to be short: do only what cannot wait.`,
    }
  },
}

/** The exercise with its keys pressed in another way. */
function withKeys(
  exercise: Exercise,
  change: <K extends { readonly bounce: unknown; readonly for: unknown }>(key: K) => K,
): Exercise {
  const changed = <
    G extends {
      readonly keys: Exercise['cases'][number]['given'] extends infer T
        ? T extends { keys: infer L }
          ? L
          : never
        : never
    },
  >(
    given: G,
  ): G => ({ ...given, keys: given.keys.map(change) })
  return {
    ...exercise,
    given: exercise.given === null ? null : changed(exercise.given),
    cases: exercise.cases.map((each) => ({ ...each, given: each.given === null ? null : changed(each.given) })),
  }
}

/** Failed checks that pass when the keys are pressed otherwise. */
function passingWith(scene: Scene, exercise: Exercise): readonly string[] {
  const isWithKeys =
    scene.exercise.given?.keys.length !== 0 ||
    scene.exercise.cases.some(({ given }) => given !== null && given.keys.length > 0)
  if (!isWithKeys) return []
  const { checks } = gradeProgram(scene.program, exercise, scene.profile, { seed: scene.seed, isNearnessJudged: false })
  return scene.failed
    .map(({ check }) => check.id)
    .filter((id) => checks.find((check) => check.id === id)?.outcome === 'passed')
}

const bounceCounted: Detector = {
  id: 'bounce-counted',
  title: 'Bouncing contacts are counted',
  looksAt: 'failed checks that pass when the keys do not bounce',
  *signs(scene) {
    const { keys } = runRequestFor(scene.exercise, scene.profile, scene.program, scene.mainCase, scene.seed).given
    if (keys.every(({ bounceTStates }) => (bounceTStates ?? 0) === 0)) return
    const checkIds = passingWith(
      scene,
      withKeys(scene.exercise, (key) => ({ ...key, bounce: null })),
    )
    if (checkIds.length === 0) return
    yield {
      ...seenAtEnd(scene.main),
      ...at(scene, checkIds),
      weight: 0.975,
      checkIds,
      found: 'right where keys do not bounce, wrong where they do',
      wanted: 'one press counted once',
      message:
        'A contact makes and breaks several times in the first milliseconds, both when the key goes down and when it comes up. Each of these is taken for a press. Look at the key only after it has been still for longer than it bounces.',
    }
  },
}

const heldKeyCounted: Detector = {
  id: 'held-key-counted',
  title: 'A held key is counted again',
  looksAt: 'a count that changes with the time for which the keys are held, where the model answer’s does not',
  *signs(scene) {
    const { keys } = runRequestFor(scene.exercise, scene.profile, scene.program, scene.mainCase, scene.seed).given
    if (keys.length === 0) return
    const view = scene.main
    const [counted] = view.wrongBytes
    if (counted === undefined || view.model === null) return
    for (const share of [0.5, 0.25]) {
      const held = { amount: Math.max(1, Math.round(share * shortestOf(keys))), unit: 'T' as const }
      const exercise = withKeys(scene.exercise, (key) => ({ ...key, for: held }))
      const value = (program: Program): number =>
        run(runRequestFor(exercise, scene.profile, program, scene.mainCase, scene.seed)).memory[counted.address] ?? 0
      const answer = modelProgram(exercise, scene.profile)
      // The model answer counts the same; the hand-in counts otherwise the sooner the keys are let go.
      const isSame = answer !== null && value(answer) === counted.wanted
      if (!isSame || value(scene.program) === counted.found) continue
      yield {
        ...seenAtEnd(view),
        weight: 0.96,
        found: `the count at ${showWord(counted.address)} depends on how long the keys are held`,
        wanted: 'one press counted once, however long it lasts',
        message:
          'A key that stays down is taken for a new press again and again: the longer it is held, the higher the count. After a press wait until the key is up before you take the next one.',
      }
      return
    }
  },
}

function shortestOf(keys: readonly { readonly from: number; readonly to: number }[]): number {
  return Math.min(...keys.map(({ from, to }) => to - from))
}

function at(
  scene: Scene,
  checkIds: readonly string[],
): { caseId?: string; step?: number; t?: number; address?: number } {
  const decided = scene.failed.find(({ check }) => checkIds.includes(check.id))?.result.decidedAt
  return decided === null || decided === undefined
    ? {}
    : { caseId: decided.caseId, step: decided.step, t: decided.t, address: decided.address }
}

export const ports: readonly Detector[] = [
  wrongPort,
  eiMissing,
  handlerNotInstalled,
  handlerTooLong,
  bounceCounted,
  heldKeyCounted,
]
