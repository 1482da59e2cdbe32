/** The address of every page; links are written with these and with nothing else. */
const id = encodeURIComponent

/** A step of a run; `start` as in a report's decision, where it is known. */
interface TracePlace {
  readonly caseId: string
  readonly step: number
  readonly start?: number
}

export const paths = {
  courses: '/',
  newCourse: '/courses/new',
  join: (code?: string) => (code === undefined ? '/join' : `/join/${id(code)}`),
  newPassword: (token: string) => `/new-password#${token}`,
  account: '/account',
  course: (courseId: string) => `/courses/${id(courseId)}`,
  classView: (courseId: string) => `/courses/${id(courseId)}/class`,
  review: (courseId: string) => `/courses/${id(courseId)}/review`,
  marks: (courseId: string) => `/courses/${id(courseId)}/marks`,
  marksCsv: (courseId: string) => `/api/courses/${id(courseId)}/marks.csv`,
  members: (courseId: string) => `/courses/${id(courseId)}/members`,
  savedAnswers: (courseId: string) => `/courses/${id(courseId)}/answers`,
  courseFeedback: (courseId: string) => `/courses/${id(courseId)}/feedback`,
  newExercise: (courseId: string) => `/courses/${id(courseId)}/exercises/new`,
  exercise: (exerciseId: string) => `/exercises/${id(exerciseId)}`,
  editExercise: (exerciseId: string) => `/exercises/${id(exerciseId)}/edit`,
  exerciseFeedback: (exerciseId: string) => `/exercises/${id(exerciseId)}/feedback`,
  submission: (submissionId: string) => `/submissions/${id(submissionId)}`,
  trace: (submissionId: string, at?: TracePlace) =>
    `/submissions/${id(submissionId)}/trace${at === undefined ? '' : `?case=${id(at.caseId)}&step=${at.step}${at.start === undefined ? '' : `&start=${at.start}`}`}`,
  /** The trace as somebody had it before them: `view` is the rest of its address. */
  traceView: (submissionId: string, view: string) => `/submissions/${id(submissionId)}/trace?${view}`,
  bench: '/bench',
} as const
