import type { ListingLine } from '../../../core/assembler/index.ts'
import { record } from '../../../core/run/index.ts'
import { Places } from '../model/places.ts'
import { answer } from './answer.ts'
import { compareWith, partingStep } from './compare-with.ts'
import { Opened } from './opened.ts'
import { prepare } from './prepare.ts'
import type { TraceReply, TraceRequest, TraceSubject } from './protocol.ts'
import { soundOf } from './sound-of.ts'
import { takeOut } from './take-out.ts'
import { WalkLanes } from './walk-lanes.ts'
import { wishedLane } from './wished-lane.ts'

/** Instructions walked between two looks at the post. */
const walkedAtOnce = 50_000

export interface DeskOptions {
  readonly post: (reply: TraceReply, handOver?: readonly Transferable[]) => void
  /** Lets messages that came meanwhile be handled. */
  readonly pause: () => Promise<void>
}

/** The worker's side of the protocol: holds one recorded run and answers for it. */
export class TraceDesk {
  readonly #post: DeskOptions['post']
  readonly #pause: DeskOptions['pause']
  readonly #givenUp = new Set<number>()
  readonly #underWay = new Set<number>()
  #opened: Opened | null = null

  constructor(options: DeskOptions) {
    this.#post = options.post
    this.#pause = options.pause
  }

  async handle(request: TraceRequest): Promise<void> {
    const { id } = request
    if (request.kind === 'cancel') {
      if (this.#underWay.has(request.of)) this.#givenUp.add(request.of)
      return
    }
    this.#underWay.add(id)
    try {
      if (request.kind === 'open') await this.#open(id, request.subject)
      else if (this.#opened === null) this.#post({ kind: 'failed', id, failure: { kind: 'not-open' } })
      else if (request.kind === 'lanes') await this.#lanes(id, this.#opened)
      else this.#answer(request, this.#opened)
    } catch (error) {
      const message = error instanceof Error ? error.message : String(error)
      this.#post({ kind: 'failed', id, failure: { kind: 'fault', message } })
    } finally {
      this.#underWay.delete(id)
      this.#givenUp.delete(id)
    }
  }

  async #open(id: number, subject: TraceSubject): Promise<void> {
    this.#opened = null
    this.#post({ kind: 'progress', id, phase: 'reading', share: 0 })
    const prepared = prepare(subject)
    if ('kind' in prepared) {
      this.#post({ kind: 'failed', id, failure: prepared })
      return
    }
    this.#post({ kind: 'progress', id, phase: 'running', share: 0 })
    if (await this.#stops(id)) return
    const recording = record(prepared.request)
    if (await this.#stops(id)) return
    const { program } = prepared
    const { board } = subject
    const { memory } = recording.at(0)
    const places = new Places({
      memory: board.memory,
      firmware: board.firmware.symbols,
      read: (address) => memory[address & 0xffff] ?? 0,
      segments: program.image.segments,
      labels: labelsOf(program.listing),
    })
    this.#opened = new Opened(recording, prepared, subject, places)
    const { steps, tStates, end, lastPc } = recording.result
    const { listing, symbols } = program
    this.#post({
      kind: 'opened',
      id,
      overview: { caseId: subject.caseId, board, steps, tStates, end, lastPc, listing, symbols },
    })
  }

  #answer(request: Exclude<TraceRequest, { kind: 'open' | 'lanes' | 'cancel' }>, opened: Opened): void {
    const { id } = request
    const { recording } = opened
    switch (request.kind) {
      case 'at': {
        const moment = opened.momentAt(request.step)
        this.#post({ kind: 'at', id, moment }, [moment.memory.buffer])
        return
      }
      case 'step-at':
        this.#post({ kind: 'step-at', id, step: recording.stepAt(request.t) })
        return
      case 'times-of':
        this.#post({ kind: 'times-of', id, times: request.steps.map((step) => recording.at(step).t) })
        return
      case 'steps':
        this.#post({ kind: 'steps', id, steps: recording.steps(request.from, request.to) })
        return
      case 'find':
        this.#post({ kind: 'found', id, step: recording.find(request.from, request.direction, request.what) })
        return
      case 'ask':
        this.#post({ kind: 'answered', id, answer: answer(opened, request.question) })
        return
      case 'compare': {
        const found = prepare(request.found)
        if ('kind' in found) this.#post({ kind: 'failed', id, failure: found })
        else this.#post({ kind: 'compared', id, comparison: compareWith(opened, found) })
        return
      }
      case 'parting': {
        const model = prepare(request.model)
        if ('kind' in model) this.#post({ kind: 'failed', id, failure: model })
        else this.#post({ kind: 'parted', id, step: partingStep(opened, model) })
        return
      }
      case 'take-out':
        this.#post({ kind: 'taken-out', id, file: takeOut(opened, request.wish) })
        return
      case 'counts':
        this.#post({ kind: 'counted', id, counts: countsOf(opened) })
        return
      case 'lane-of':
        this.#post({ kind: 'lane-made', id, lane: wishedLane(opened, request.wish) })
        return
      case 'measure':
        this.#post({ kind: 'measured', id, measure: opened.measure(request.span) })
        return
      case 'sound': {
        const samples = soundOf(opened.speaker.runs, request.span, opened.board.clockHz, request.sampleRate)
        this.#post({ kind: 'sound', id, samples }, [samples.buffer])
        return
      }
    }
  }

  async #lanes(id: number, opened: Opened): Promise<void> {
    const { tStates: end, steps } = opened.recording.result
    for (const lane of opened.lanes) this.#post({ kind: 'lane', id, lane })
    const walked = new WalkLanes(opened.places, opened.stackTop)
    for (let from = 0; from < steps; from += walkedAtOnce) {
      if (await this.#stops(id)) return
      this.#post({ kind: 'progress', id, phase: 'walking', share: from / steps })
      const to = Math.min(steps, from + walkedAtOnce)
      opened.walk(from, to, (t, pc, sp) => walked.visit(t, pc, sp))
    }
    for (const lane of walked.finish(end)) this.#post({ kind: 'lane', id, lane })
    this.#post({ kind: 'lanes-done', id })
  }

  /** Whether this request has been given up meanwhile; says so to the asker. */
  async #stops(id: number): Promise<boolean> {
    await this.#pause()
    if (!this.#givenUp.has(id)) return false
    this.#post({ kind: 'cancelled', id })
    return true
  }
}

/** How often each instruction ran, by its address. */
function countsOf({ recording }: Opened): ReadonlyMap<number, number> {
  return new Map(recording.questions.usage().byAddress.map(({ address, steps }) => [address, steps]))
}

/** Names of places in the program; an EQU names a number and stands at no address. */
function labelsOf(listing: readonly ListingLine[]): Readonly<Record<string, number>> {
  return Object.fromEntries(
    listing.flatMap(({ label, address }) => (label === null || address === null ? [] : [[label, address]])),
  )
}
