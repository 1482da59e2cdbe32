import { createRouter } from 'sv-router'
import Shell from './pages/shell/Shell.svelte'

/** One page, one file that is fetched when it is first gone to. `layout` is drawn round them all. */
export const { navigate, route } = createRouter({
  layout: Shell,
  hooks: { afterLoad: focusPage },
  '/': () => import('./pages/courses/CoursesPage.svelte'),
  '/join': () => import('./pages/entry/JoinPage.svelte'),
  '/join/:code': () => import('./pages/entry/JoinPage.svelte'),
  '/set-up': () => import('./pages/entry/SetUpPage.svelte'),
  '/new-password': () => import('./pages/entry/NewPasswordPage.svelte'),
  '/account': () => import('./pages/account/AccountPage.svelte'),
  '/courses/new': () => import('./pages/courses/NewCoursePage.svelte'),
  '/courses/:courseId': () => import('./pages/course/CoursePage.svelte'),
  '/courses/:courseId/class': () => import('./pages/class-view/ClassViewPage.svelte'),
  '/courses/:courseId/review': () => import('./pages/review/ReviewPage.svelte'),
  '/courses/:courseId/marks': () => import('./pages/marks/MarksPage.svelte'),
  '/courses/:courseId/members': () => import('./pages/members/MembersPage.svelte'),
  '/courses/:courseId/answers': () => import('./pages/saved-answers/SavedAnswersPage.svelte'),
  '/courses/:courseId/feedback': () => import('./pages/feedback/CourseFeedbackPage.svelte'),
  '/courses/:courseId/exercises/new': () => import('./pages/exercise-editor/NewExercisePage.svelte'),
  '/exercises/:exerciseId': () => import('./pages/exercise/ExercisePage.svelte'),
  '/exercises/:exerciseId/edit': () => import('./pages/exercise-editor/EditExercisePage.svelte'),
  '/exercises/:exerciseId/feedback': () => import('./pages/feedback/ExerciseFeedbackPage.svelte'),
  '/submissions/:submissionId': () => import('./pages/submission/SubmissionPage.svelte'),
  '/submissions/:submissionId/trace': () => import('./pages/elsewhere/TraceRoute.svelte'),
  '/bench': () => import('./pages/elsewhere/BenchRoute.svelte'),
  '*elsewhere': () => import('./pages/elsewhere/NoPage.svelte'),
})

let isFirst = true

/** A new page is announced by taking the focus, as a page load would; the first one is a page load. */
function focusPage(): void {
  if (!isFirst) document.getElementById('main')?.focus({ preventScroll: true })
  isFirst = false
}

/** A name in the address of the page that is shown. */
export function parameter(name: 'courseId' | 'exerciseId' | 'submissionId' | 'code'): string {
  return route.params[name] ?? ''
}
