import type { ClassProgress, ServerMessage, Standing, SubmissionSummary } from '../../server/contract/index.ts'
import { isStuck } from './path.ts'
import { Resource } from './Resource.svelte.ts'

/** A cell of the matrix by its row and column. */
export interface CellPlace {
  readonly studentId: string
  readonly exerciseId: string
}

export interface StuckStudent {
  readonly student: ClassProgress['students'][number]['student']
  readonly exercise: ClassProgress['exercises'][number]
  readonly standing: Standing
}

/**
 * The class, filling while it is looked at. Live messages change the cells at once; whoever made this then reads the
 * whole anew after a quiet moment (`isStale`), for the counts.
 */
export class ClassView {
  readonly resource: Resource<ClassProgress>
  #fresh = $state.raw<readonly string[]>([])
  #isStale = $state(false)

  constructor(fetchProgress: () => Promise<ClassProgress>) {
    this.resource = new Resource(async () => {
      const progress = await fetchProgress()
      this.#isStale = false
      return progress
    })
  }

  get progress(): ClassProgress | null {
    return this.resource.value
  }

  /** Something was heard since the last reading that the counts do not hold yet. */
  get isStale(): boolean {
    return this.#isStale
  }

  /** Changed since it was last `settle`d. */
  isFresh(place: CellPlace): boolean {
    return this.#fresh.includes(keyOf(place))
  }

  settle(): void {
    this.#fresh = []
  }

  /** Those who handed in several times without full marks, the most hand-ins first. */
  get stuck(): readonly StuckStudent[] {
    const progress = this.progress
    if (progress === null) return []
    return progress.students
      .flatMap(({ student, cells }) =>
        progress.exercises.map((exercise, at) => ({ student, exercise, standing: cells[at] })),
      )
      .filter((each): each is StuckStudent => each.standing !== undefined && isStuck(each.standing))
      .sort((a, b) => b.standing.attempts - a.standing.attempts)
  }

  hear(message: ServerMessage): void {
    switch (message.kind) {
      case 'submission-received':
      case 'submission-graded':
      case 'submission-fault':
        this.#place(message.submission)
        return
      case 'submission-running':
        this.#change({ studentId: message.studentId, exerciseId: message.exerciseId }, (cell) => ({
          ...cell,
          state: 'running',
        }))
        return
      case 'members-changed':
      case 'exercise-changed':
      case 'review-changed':
      case 'refetch':
        this.#isStale = true
        return
      default:
        return
    }
  }

  #place(submission: SubmissionSummary): void {
    this.#change({ studentId: submission.student.id, exerciseId: submission.exerciseId }, (cell) =>
      moved(cell, submission),
    )
  }

  #change(place: CellPlace, change: (cell: Standing) => Standing): void {
    this.#isStale = true
    this.resource.change((progress) => {
      const column = progress.exercises.findIndex((exercise) => exercise.id === place.exerciseId)
      const row = progress.students.findIndex(({ student }) => student.id === place.studentId)
      const cell = progress.students[row]?.cells[column]
      const old = progress.students[row]
      if (cell === undefined || old === undefined) return progress
      const next = { ...old, cells: old.cells.with(column, change(cell)) }
      return { ...progress, students: progress.students.with(row, next) }
    })
    if (!this.isFresh(place)) this.#fresh = [...this.#fresh, keyOf(place)]
  }
}

const keyOf = ({ studentId, exerciseId }: CellPlace): string => `${studentId} ${exerciseId}`

/** The standing after a message about one submission. An older one that is graded late changes the best, not the state. */
function moved(cell: Standing, submission: SubmissionSummary): Standing {
  const isNewest = cell.lastReceivedAt === null || submission.receipt.receivedAt >= cell.lastReceivedAt
  const best = submission.score === null ? cell.bestScore : Math.max(cell.bestScore ?? 0, submission.score)
  return {
    attempts: Math.max(cell.attempts, submission.receipt.number),
    bestScore: best,
    state: isNewest ? submission.state : cell.state,
    lastReceivedAt: isNewest ? submission.receipt.receivedAt : cell.lastReceivedAt,
    lastSubmissionId: isNewest ? submission.id : cell.lastSubmissionId,
  }
}
