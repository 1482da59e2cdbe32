import type { PrismaClient } from '../generated/prisma/client.ts'
import type { ReviewState } from '../contract/index.ts'
import { tell, type Transaction } from './database.ts'

/** Where a submission belongs; enough to decide who may hear of it without a query. */
export interface SubmissionPlace {
  readonly submissionId: string
  readonly courseId: string
  readonly exerciseId: string
  readonly studentId: string
}

/** What processes tell each other. Ids only: the channel takes less than 8000 bytes a message. */
export type News =
  | ({
      readonly kind:
        'submission-received' | 'submission-graded' | 'submission-fault' | 'diagnosis-ready' | 'notes-released'
    } & SubmissionPlace)
  | ({
      readonly kind: 'submission-running'
      readonly progress: { readonly casesDone: number; readonly cases: number } | null
    } & SubmissionPlace)
  | ({ readonly kind: 'review-changed'; readonly state: ReviewState } & SubmissionPlace)
  /** `isReleased`: the student may see it. */
  | ({ readonly kind: 'note-added'; readonly noteId: string; readonly isReleased: boolean } & SubmissionPlace)
  /** `isForStudents`: it is published, or was until now. */
  | {
      readonly kind: 'exercise-changed'
      readonly courseId: string
      readonly exerciseId: string
      readonly isForStudents: boolean
    }
  | { readonly kind: 'members-changed'; readonly courseId: string; readonly userId: string }
  | { readonly kind: 'session-ended'; readonly sessionHash: string }

export const newsChannel = 'hexcairn_news'

/** Within a transaction the news leaves when it is committed, and not at all when it is not. */
export async function tellNews(via: Transaction | PrismaClient, news: News): Promise<void> {
  await tell(via, newsChannel, JSON.stringify(news))
}
