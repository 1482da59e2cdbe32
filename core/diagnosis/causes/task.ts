import { showByte, showCount, showWord } from '../../image/index.ts'
import type { Detector, Sign } from './detector.ts'
import type { DraftLine } from './draft.ts'
import type { FailedCheck, Scene } from './scene.ts'
import { enteredBy } from './entered.ts'
import { edited, idsOf, seenAtEnd, type Edit } from './signs.ts'

/** Where a check was decided. */
function decided({ result }: FailedCheck): Partial<Sign> {
  const at = result.decidedAt
  return at === null ? {} : { caseId: at.caseId, step: at.step, t: at.t, address: at.address }
}

/** A failed check of the task's rules, in its own words. */
function* rule(scene: Scene, kinds: readonly string[], weight: number, add: string): Generator<Sign> {
  const failed = scene.failedOf(...kinds)
  const [first] = failed
  if (first === undefined) return
  yield {
    ...decided(first),
    weight,
    checkIds: idsOf(failed),
    found: first.result.measured ?? 'not as the task asks',
    wanted: first.result.wanted ?? first.result.title,
    message: `${first.result.message.replace(/ Not counted:.*$/, '')} ${add}`,
  }
}

const forbiddenUsed: Detector = {
  id: 'forbidden-used',
  title: 'Something is used that the task forbids',
  looksAt: 'failed checks of forbidden routines and instructions',
  *signs(scene) {
    const add = 'The task is about doing this part yourself.'
    yield* rule(scene, ['forbidden-routine', 'forbidden-instruction'], 0.975, add)
  },
}

const instructionMissing: Detector = {
  id: 'instruction-missing',
  title: 'An instruction that the task asks for is missing',
  looksAt: 'failed checks of required instructions',
  *signs(scene) {
    const others = scene.failedOf('required-instruction').length
    const isOnlyForm = !scene.isFunctionWrong
    const add = 'The task asks for a certain way of doing it, not only for the result.'
    if (others > 0) yield* rule(scene, ['required-instruction'], isOnlyForm ? 0.94 : 0.7, add)
  },
}

const routineNotCalled: Detector = {
  id: 'routine-not-called',
  title: 'A routine is not called',
  looksAt: 'failed checks of calls, and CALL of a routine of the firmware that passes when put in',
  *signs(scene) {
    yield* rule(scene, ['calls-routine'], 0.96, 'What the routine does will not happen by itself.')
    const { lines } = scene.draft
    const entered = enteredBy(scene.draft, scene.sites)
    const { modelDraft } = scene
    const wanted = modelDraft === null ? null : enteredBy(modelDraft, modelDraft.lines)
    // One that the model answer does without can only help by chance.
    const { routines: known } = scene.profile.firmware
    const routines = known.filter(({ address }) => !entered.has(address) && (wanted?.has(address) ?? true))
    const callsOthers = known.some(({ address }) => entered.has(address))
    // Behind another call first: what one routine gives is often what the next one needs.
    const isBehind = (index: number): boolean => lines[index - 1]?.mnemonic === 'CALL'
    const places = lines
      .slice(0, 24)
      .toSorted((x, y) => Number(isBehind(y.index)) - Number(isBehind(x.index)) || x.index - y.index)
    const edits = routines.flatMap(({ name, address, summary }) =>
      places.map((line): Edit => ({
        weight: 0.965,
        address: line.address,
        changes: { inside: { [line.index]: `CALL ${address}` } },
        found: `${name} is never called`,
        wanted: `CALL ${name}`,
        message: `${name} is never called, and something that it does is missing. What it does: ${summary}`,
      })),
    )
    if (scene.isFunctionWrong && callsOthers) yield* edited(scene, edits)
    yield* calledLess(scene)
    const [missing] = modelDraft === null ? [] : routines
    if (!scene.isFunctionWrong || missing === undefined) return
    yield {
      ...seenAtEnd(scene.main),
      address: null,
      weight: 0.84,
      found: `${missing.name} is never called`,
      wanted: `CALL ${missing.name}, or the same done by the program itself`,
      message: `${missing.name} is never called. What it does: ${missing.summary} Either call it, or see that the program does the same by itself.`,
    }
  },
}

/** The model answer calls a routine at more places. */
function* calledLess(scene: Scene): Generator<Sign> {
  if (!scene.isFunctionWrong || !scene.isAssembly) return
  const count = (lines: readonly DraftLine[], name: string, address: number): number =>
    lines.filter(({ mnemonic, plain }) => mnemonic === 'CALL' && (plain[0] === name || plain[0] === showWord(address)))
      .length
  for (const { name, address } of scene.profile.firmware.routines) {
    const own = count(scene.draft.lines, name, address)
    if (own === 0 || own >= count(scene.modelLines, name, address)) continue
    const call = scene.draft.lines.find(({ mnemonic, plain }) => mnemonic === 'CALL' && plain[0] === name)
    yield {
      weight: 0.62,
      address: call?.address ?? null,
      found: `${name} is called at ${showCount(own, 'place')}`,
      wanted: 'a call wherever something is to be shown or asked for anew',
      message: `${name} is called at ${showCount(own, 'place')} only. Go through the program once more: is it called each time that something new has to go through it?`,
    }
    return
  }
}

const fitsSheetOnly: Detector = {
  id: 'fits-sheet-only',
  title: 'Only the values of the sheet come out right',
  looksAt:
    'hand-ins that are right on every visible case and wrong on hidden ones, and compare with the visible values',
  *signs(scene) {
    const { cases } = scene.report
    const visible = new Set(cases.filter(({ isVisible }) => isVisible).map(({ id }) => id))
    const wrong = scene.failedResults.filter(({ result }) => result.decidedAt !== null)
    const isHiddenOnly = wrong.every(({ result }) => !visible.has(result.decidedAt?.caseId ?? ''))
    if (!isHiddenOnly || visible.size === 0 || wrong.length === 0) return
    const compared = scene.sites.find(({ form, value }) => form === 'CP n' && isGiven(scene, visible, value))
    yield {
      weight: compared === undefined ? 0.8 : 0.93,
      address: compared?.address ?? null,
      found: `right for the values of the sheet${compared === undefined ? '' : `, which it compares with (${showByte(compared.value)})`}`,
      wanted: 'right for all values',
      message: `The cases that you can see come out right and others do not.${compared === undefined ? '' : ` ${compared.text} at ${showWord(compared.address)} asks for a value of the sheet.`} The task has to be solved for any values, not only for the examples.`,
    }
  },
}

function isGiven(scene: Scene, visible: ReadonlySet<string>, value: number): boolean {
  return [...visible].some((id) =>
    scene.view(id).request.given.memory.some(({ bytes }) => bytes.some((byte) => Math.abs(byte - value) <= 1)),
  )
}

const tooBig: Detector = {
  id: 'too-big',
  title: 'The program is too long',
  looksAt: 'failed checks of the size',
  *signs(scene) {
    yield* rule(
      scene,
      ['size'],
      scene.isFunctionWrong ? 0.5 : 0.9,
      'Look for what is written out twice, and for shorter forms: JR for JP, INC L for INC HL, a loop for repetition.',
    )
  },
}

export const task: readonly Detector[] = [forbiddenUsed, instructionMissing, routineNotCalled, fitsSheetOnly, tooBig]
