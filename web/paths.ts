/** The address of every page; links are written with these and with nothing else. */
const id = encodeURIComponent

export const paths = {
  courses: '/',
  newCourse: '/courses/new',
  join: (code?: string) => (code === undefined ? '/join' : `/join/${id(code)}`),
  course: (courseId: string) => `/courses/${id(courseId)}`,
  classView: (courseId: string) => `/courses/${id(courseId)}/class`,
  review: (courseId: string) => `/courses/${id(courseId)}/review`,
  marks: (courseId: string) => `/courses/${id(courseId)}/marks`,
  marksCsv: (courseId: string) => `/api/courses/${id(courseId)}/marks.csv`,
  members: (courseId: string) => `/courses/${id(courseId)}/members`,
  newExercise: (courseId: string) => `/courses/${id(courseId)}/exercises/new`,
  exercise: (exerciseId: string) => `/exercises/${id(exerciseId)}`,
  editExercise: (exerciseId: string) => `/exercises/${id(exerciseId)}/edit`,
  submission: (submissionId: string) => `/submissions/${id(submissionId)}`,
  trace: (submissionId: string, at?: { readonly caseId: string; readonly step: number }) =>
    `/submissions/${id(submissionId)}/trace${at === undefined ? '' : `?case=${id(at.caseId)}&step=${at.step}`}`,
  bench: '/bench',
} as const
