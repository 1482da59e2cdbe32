import type { Program, ReadOptions } from '../../../assembler/index.ts'
import type { BoardProfile } from '../../../board/index.ts'
import type { Addr, TState } from '../../../cpu/index.ts'
import { record } from '../../../run/index.ts'
import { usualTime, type Stage, type Trial } from '../../../trial/index.ts'
import type { SourceInstruction } from '../../../edits/index.ts'
import { ModelText } from './model-text.ts'

/** What the runs of a model answer tell about it. */
export interface ModelFacts {
  readonly program: Program
  readonly text: ModelText
  /** Where its runs end. */
  readonly ends: readonly SourceInstruction[]
  /** Bytes that a case gives and a run reads. */
  readonly inputs: ReadonlySet<Addr>
  /** The lower of two such bytes that one instruction reads. */
  readonly words: ReadonlySet<Addr>
  /** What bytes are compared with. */
  readonly numbers: readonly number[]
  /** Calls of the firmware that every run makes once. */
  readonly onceCalled: readonly SourceInstruction[]
}

/** Longer runs are not recorded. */
const longestRecorded: TState = 12_000_000

export function modelFacts(program: Program, options: ReadOptions, trial: Trial, profile: BoardProfile): ModelFacts {
  const text = new ModelText(program, options)
  const inputs = new Set<Addr>()
  const words = new Set<Addr>()
  let once = text.instructions.filter(({ mnemonic, operands }) => {
    const called = operands.length === 1 ? operands[0] : undefined
    return mnemonic === 'CALL' && called !== undefined && routineOf(called, profile) !== undefined
  })
  const recorded = stagesWorthRecording(trial.stages)
  for (const stage of recorded) {
    const { questions } = record(trial.run(stage, program.image).request)
    once = once.filter(({ address }) => questions.visits(address).count === 1)
    const given = stage.request.given.memory
    const isGiven = (at: Addr): boolean => given.some((block) => at >= block.at && at < block.at + block.bytes.length)
    const reads = questions.allReadBeforeWritten().filter(({ address }) => isGiven(address))
    for (const [i, { address, step }] of reads.entries()) {
      inputs.add(address)
      const next = reads[i + 1]
      if (next?.step === step && next.address === address + 1) words.add(address)
    }
  }
  const ends = new Set(trial.stages.flatMap(({ model }) => (model === null ? [] : [model.lastPc])))
  return {
    ...{ program, text, inputs, words, numbers: comparedNumbers(program) },
    ends: text.instructions.filter(({ address }) => ends.has(address)),
    onceCalled: recorded.length === 0 ? [] : once,
  }
}

/** One run of each case that is not too long. */
function stagesWorthRecording(stages: readonly Stage[]): readonly Stage[] {
  const seen = new Set<unknown>()
  return stages.filter((stage) => {
    if (usualTime(stage) > longestRecorded || seen.has(stage.instance.of)) return false
    seen.add(stage.instance.of)
    return true
  })
}

/** The routine that an operand of a call names, by its name or its address. */
export function routineOf(operand: string, { firmware }: BoardProfile): Addr | undefined {
  const upper = operand.toUpperCase()
  const value = Number.parseInt(/^0*([0-9A-F]+)H$/.exec(upper)?.[1] ?? '', 16)
  return firmware.routines.find(({ name, address }) => name === upper || address === value)?.address
}

function comparedNumbers({ listing }: Program): readonly number[] {
  // CP n and SUB n.
  const found = listing.flatMap(({ kind, bytes: [opcode, n] }) =>
    kind === 'instruction' && (opcode === 0xfe || opcode === 0xd6) && n !== undefined ? [n] : [],
  )
  return [...new Set(found)]
}
