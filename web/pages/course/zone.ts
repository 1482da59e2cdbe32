import { Resource, useHouse } from '../../state/index.ts'

/**
 * The time zone of a course for a page that holds only its id; UTC until it has been read. Call it while a component is
 * made; `load` it once the id is known.
 */
export function courseZone(): { readonly name: string; load(courseId: string): void } {
  const { api } = useHouse()
  let known: string | null = null
  const course = new Resource(() => api.call('GET /api/courses/:courseId', { params: { courseId: known ?? '' } }))
  return {
    get name() {
      return course.value?.timeZone ?? 'UTC'
    },
    load(courseId) {
      if (courseId === known) return
      known = courseId
      void course.load()
    },
  }
}
