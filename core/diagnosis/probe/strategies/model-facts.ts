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
  /** One run of each case that is not too long, and all of the short ones. */
  readonly recorded: readonly RecordedStage[]
  /** How often an instruction runs at most in one of them. */
  mostVisits(instruction: SourceInstruction): number
  /** Calls that every run makes once. */
  readonly onceCalled: readonly SourceInstruction[]
  /** Instructions that run as many times as keys are pressed, in runs of which one has several. */
  readonly onceForEachKey: readonly SourceInstruction[]
}

/** A case, and how often each instruction of the model answer ran in it. */
export interface RecordedStage {
  readonly stage: Stage
  /** Presses of the task, without idle ones. */
  readonly presses: number
  visits(instruction: SourceInstruction): number
}

/** Longer runs are not recorded; of those that are not short one of each case. */
const [longestRecorded, short]: readonly [TState, TState] = [12_000_000, 200_000]

export function modelFacts(program: Program, options: ReadOptions, trial: Trial): ModelFacts {
  const text = new ModelText(program, options)
  const inputs = new Set<Addr>()
  const words = new Set<Addr>()
  const recorded = stagesWorthRecording(trial.stages).map((stage): RecordedStage => {
    const { questions } = record(trial.run(stage, program.image).request)
    const given = stage.request.given.memory
    const isGiven = (at: Addr): boolean => given.some((block) => at >= block.at && at < block.at + block.bytes.length)
    const reads = questions.allReadBeforeWritten().filter(({ address }) => isGiven(address))
    for (const [i, { address, step }] of reads.entries()) {
      inputs.add(address)
      const next = reads[i + 1]
      if (next?.step === step && next.address === address + 1) words.add(address)
    }
    const counts = new Map(text.instructions.map(({ address }) => [address, questions.visits(address).count]))
    return {
      stage,
      presses: stage.request.given.keys.filter(({ isIdle }) => isIdle !== true).length,
      visits: ({ address }) => counts.get(address) ?? 0,
    }
  })
  const ends = new Set(trial.stages.flatMap(({ model }) => (model === null ? [] : [model.lastPc])))
  const isCalling = ({ mnemonic, operands }: SourceInstruction): boolean => mnemonic === 'CALL' && operands.length === 1
  const isKeyed = recorded.some(({ presses }) => presses > 1)
  return {
    ...{ program, text, inputs, words, numbers: comparedNumbers(program), recorded },
    ends: text.instructions.filter(({ address }) => ends.has(address)),
    mostVisits: (instruction) => Math.max(0, ...recorded.map(({ visits }) => visits(instruction))),
    onceCalled: text.instructions.filter(
      (each) => recorded.length > 0 && isCalling(each) && recorded.every(({ visits }) => visits(each) === 1),
    ),
    onceForEachKey: text.instructions.filter(
      (each) => isKeyed && recorded.every(({ visits, presses }) => visits(each) === presses),
    ),
  }
}

/** One run of each case that is not too long, and all that are short. */
function stagesWorthRecording(stages: readonly Stage[]): readonly Stage[] {
  const seen = new Set<unknown>()
  return stages.filter((stage) => {
    const isFirst = !seen.has(stage.instance.of)
    if (usualTime(stage) > (isFirst ? longestRecorded : short)) return false
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
