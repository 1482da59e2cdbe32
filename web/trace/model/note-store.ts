import type { Api } from '../../state/index.ts'
import type { NoteStore } from './NoteBook.svelte.ts'

/** The notes of a submission, as the server keeps them. */
export function noteStore(api: Api, submissionId: string, courseId: string): NoteStore {
  const params = { submissionId }
  return {
    list: async () => (await api.call('GET /api/submissions/:submissionId/notes', { params })).notes,
    add: (body) => api.call('POST /api/submissions/:submissionId/notes', { params, body }),
    reply: (noteId, text) =>
      api.call('POST /api/submissions/:submissionId/notes/:noteId/replies', {
        params: { submissionId, noteId },
        body: { text },
      }),
    release: async () => (await api.call('POST /api/submissions/:submissionId/release', { params })).notes,
    answers: async () => (await api.call('GET /api/courses/:courseId/saved-answers', { params: { courseId } })).answers,
    keep: (text, causeId) =>
      api.call('POST /api/courses/:courseId/saved-answers', { params: { courseId }, body: { text, causeId } }),
  }
}
