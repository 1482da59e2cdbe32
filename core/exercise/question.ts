import { list, name, number, object, optional, required, text, whole, type Read } from './schema/index.ts'

/** Characters of a written answer that are taken unless the document says less. */
export const longestAnswer = 2000

const rubricPoint = object('rubric-point', 'One thing that a written answer gets marks for.', {
  marks: required(number(0, 100), 'Marks for it.'),
  for: required(text(1, 300), 'What the answer has to say.'),
})

/** A question that is answered in words and marked by a person. */
export const question = object('question', 'A question to answer in words. Staff mark the answer by its rubric.', {
  id: required(name, 'Its short name.'),
  ask: required(text(1, 600), 'The question, for the student.'),
  marks: required(number(0.5, 100), 'Marks for it, beside those of the groups.'),
  longest: optional(whole(20, longestAnswer), 'Most characters of an answer.', 600),
  rubric: required(
    list(rubricPoint, 1, 8),
    'What its marks are for; the points add up to its marks. A student sees them once the answer is marked.',
  ),
  sample: optional(text(1, longestAnswer), 'An answer that gets all marks, for staff.', null, 'none'),
})

export type Question = Read<typeof question>

/** A question as a student has it before the answer is marked: how it is marked would be half of the answer. */
export type StudentQuestion = Omit<Question, 'rubric' | 'sample'>

export function studentQuestion({ rubric: _rubric, sample: _sample, ...shown }: Question): StudentQuestion {
  return shown
}

/** Marks that people give, over all questions. */
export function marksByHand(exercise: { readonly questions: readonly Pick<Question, 'marks'>[] }): number {
  return exercise.questions.reduce((sum, { marks }) => sum + marks, 0)
}
