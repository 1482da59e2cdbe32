import type { Course, Exercise } from '../../server/contract/index.ts'
import type { House, Visitor } from './harness.ts'

/** One visible case and check, one hidden case with a value that no student may see. */
export const sumYaml = `format: hexcairn-exercise/1
id: sum
title: A sum
board: bench-8
brief: Add the byte at 4600h to A. Then halt.
budget: 100 ms
cases:
  - id: plain
    title: Two and three
    given: { registers: { a: 2 }, memory: [{ at: 4600h, bytes: '03' }] }
    expect: { total: 5 }
  - id: secretcase
    title: Sealed title
    visible: false
    given: { registers: { a: 0B1h }, memory: [{ at: 4600h, bytes: '1C' }] }
    expect: { total: 0CDh }
groups:
  - { id: function, title: What it does, marks: 100 }
checks:
  - { id: total, kind: registers, title: A holds the sum, group: function, cases: [plain], want: { a: $total } }
  - { id: sealedcheck, kind: registers, title: Sealed check, visible: false, group: function, cases: [secretcase], want: { a: $total } }
hints:
  - { rung: point, ask: Which of the two runs comes out wrong?, say: Look at what stands at 4600h. }
  - { rung: nearly, ask: What does your second instruction do?, say: ADD adds and SUB takes away. }
model: { format: assembly, text: " LD HL,4600h\\n ADD A,(HL)\\n HALT\\n" }
`

/** LD HL,4600h · ADD A,(HL) · HALT */
export const rightProgram = { format: 'hex', text: '21 00 46 86 76' } as const
/** SUB (HL) in place of ADD: wrong on both cases. */
export const wrongProgram = { format: 'hex', text: '21 00 46 96 76' } as const

export interface Class {
  readonly course: Course
  readonly exercise: Exercise
  readonly instructor: Visitor
  readonly assistant: Visitor
  readonly student: Visitor
  readonly otherStudent: Visitor
  /** Instructor of another course. */
  readonly outsider: Visitor
}

/** A course with an open exercise and one person of each kind. */
export async function openClass(house: House, source = sumYaml): Promise<Class> {
  const instructor = await house.person('ines', { mayCreateCourses: true, displayName: 'Ines Okafor' })
  const outsider = await house.person('otto', { mayCreateCourses: true, displayName: 'Otto Lindqvist' })
  const assistant = await house.person('asha', { displayName: 'Asha Verma' })
  const student = await house.person('sam', { displayName: 'Sam Tran' })
  const otherStudent = await house.person('olu', { displayName: 'Olu Mensah' })
  const course = await instructor.take<Course>('POST', '/api/courses', { title: 'Depot', timeZone: 'Europe/Berlin' })
  await outsider.take('POST', '/api/courses', { title: 'Elsewhere', timeZone: 'UTC' })
  await house.enrol(assistant, course.id, 'assistant')
  await house.enrol(student, course.id, 'student')
  await house.enrol(otherStudent, course.id, 'student')
  const exercise = await instructor.take<Exercise>('POST', `/api/courses/${course.id}/exercises`, {
    source,
    isPublished: true,
  })
  return { course, exercise, instructor, assistant, student, otherStudent, outsider }
}
