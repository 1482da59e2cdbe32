import type { Board, BoardList } from './boards.ts'
import type * as courses from './courses.ts'
import type * as exercises from './exercises.ts'
import type { Diagnosis } from './diagnosis.ts'
import type { CourseFeedback, ExerciseFeedback } from './feedback.ts'
import type { Hint, HintAnswer, HintLadder } from './hints.ts'
import type { Marks } from './marks.ts'
import type { Health, Probe, ProblemList } from './problem-details.ts'
import type { ClassProgress } from './progress.ts'
import type * as reviews from './reviews.ts'
import type * as saved from './saved-answers.ts'
import type * as session from './session.ts'
import type * as submissions from './submissions.ts'
import type { Trace } from './traces.ts'
import type { PageQuery } from './value.ts'

/**
 * Every route as `METHOD path` with what goes in and what comes out on success; the base of a typed client. Statuses: 200,
 * 201 for what was created, 202 for a submission whose report is not ready, 204 where `reply` is null. Every other
 * status carries ProblemDetails. Not listed, being no JSON: `GET /api/courses/:courseId/marks.csv`, the websocket
 * `/api/live`, `/api/docs`.
 */
export interface Api {
  'GET /api/session': { reply: session.Session }
  'POST /api/session': { body: session.SignIn; reply: session.Session }
  'DELETE /api/session': { reply: null }
  'PUT /api/session/password': { body: session.PasswordChange; reply: session.Session }
  'POST /api/accounts': { body: session.NewAccount; reply: session.Session }
  'POST /api/password-links': { body: session.PasswordLinkToken; reply: session.PasswordLinkOwner }
  'POST /api/password-links/used': { body: session.NewPassword; reply: session.Session }

  'GET /api/courses': { reply: courses.CourseList }
  'POST /api/courses': { body: courses.NewCourse; reply: courses.Course }
  'POST /api/courses/join': { body: courses.JoinCourse; reply: courses.Course }
  'GET /api/courses/:courseId': { reply: courses.Course }
  'PATCH /api/courses/:courseId': { body: courses.CoursePatch; reply: courses.Course }
  'POST /api/courses/:courseId/join-code': { reply: courses.JoinCode }
  'GET /api/courses/:courseId/members': { reply: courses.MemberList }
  'PATCH /api/courses/:courseId/members/:userId': { body: courses.MemberPatch; reply: courses.Member }
  'PUT /api/courses/:courseId/members/:userId': { reply: courses.Member }
  'DELETE /api/courses/:courseId/members/:userId': { reply: null }
  'DELETE /api/courses/:courseId/membership': { reply: null }
  'POST /api/courses/:courseId/members/:userId/password-link': { reply: session.PasswordLink }

  'GET /api/courses/:courseId/exercises': { reply: exercises.ExerciseList }
  'POST /api/courses/:courseId/exercises': { body: exercises.NewExercise; reply: exercises.Exercise }
  'GET /api/exercises/:exerciseId': { reply: exercises.Exercise }
  'PUT /api/exercises/:exerciseId': { body: exercises.ExerciseRevisionText; reply: exercises.Exercise }
  'PATCH /api/exercises/:exerciseId': { body: exercises.ExercisePatch; reply: exercises.Exercise }
  'GET /api/exercises/:exerciseId/extensions': { reply: exercises.ExtensionList }
  'PUT /api/exercises/:exerciseId/extensions/:userId': { body: exercises.NewExtension; reply: exercises.ExtensionList }
  'DELETE /api/exercises/:exerciseId/extensions/:userId': { reply: exercises.ExtensionList }
  'GET /api/exercises/:exerciseId/revisions': { reply: exercises.RevisionList }

  'GET /api/exercises/:exerciseId/hints': { reply: HintLadder }
  'POST /api/exercises/:exerciseId/hints/:rung': { body: HintAnswer; reply: Hint }

  'GET /api/courses/:courseId/feedback': { reply: CourseFeedback }
  'PUT /api/courses/:courseId/feedback': { body: CourseFeedback; reply: CourseFeedback }
  'GET /api/exercises/:exerciseId/feedback': { reply: ExerciseFeedback }
  'PUT /api/exercises/:exerciseId/feedback': { body: CourseFeedback; reply: ExerciseFeedback }

  'GET /api/courses/:courseId/saved-answers': { reply: saved.SavedAnswerList }
  'POST /api/courses/:courseId/saved-answers': { body: saved.NewSavedAnswer; reply: saved.SavedAnswer }
  'PATCH /api/courses/:courseId/saved-answers/:answerId': { body: saved.SavedAnswerPatch; reply: saved.SavedAnswer }
  'DELETE /api/courses/:courseId/saved-answers/:answerId': { reply: null }

  'GET /api/boards': { reply: BoardList }
  'GET /api/boards/:boardId': { reply: Board }

  'POST /api/exercises/:exerciseId/submissions': { body: submissions.NewSubmission; reply: submissions.Submission }
  'GET /api/exercises/:exerciseId/submissions': {
    query: submissions.SubmissionQuery
    reply: submissions.SubmissionPage
  }
  'GET /api/submissions/:submissionId': { reply: submissions.Submission }
  'PUT /api/submissions/:submissionId/written/:questionId': {
    body: submissions.WrittenMarking
    reply: submissions.Submission
  }
  'GET /api/submissions/:submissionId/trace': { reply: Trace }
  'GET /api/submissions/:submissionId/diagnosis': { reply: Diagnosis }
  'GET /api/submissions/:submissionId/notes': { reply: reviews.NoteList }
  'POST /api/submissions/:submissionId/notes': { body: reviews.NewNote; reply: reviews.Note }
  'POST /api/submissions/:submissionId/notes/:noteId/replies': { body: reviews.NewReply; reply: reviews.Note }
  'POST /api/submissions/:submissionId/release': { reply: reviews.NoteList }
  'POST /api/submissions/:submissionId/grade-again': { reply: submissions.Submission }
  'PUT /api/submissions/:submissionId/review': { body: reviews.ReviewPut; reply: reviews.Review }

  'GET /api/courses/:courseId/progress': { reply: ClassProgress }
  'GET /api/courses/:courseId/marks': { reply: Marks }
  'GET /api/courses/:courseId/review': { query: PageQuery; reply: reviews.ReviewQueue }

  'GET /api/health': { reply: Health }
  'GET /api/health/live': { reply: Probe }
  'GET /api/health/ready': { reply: Probe }
  'GET /api/problems': { reply: ProblemList }
}
