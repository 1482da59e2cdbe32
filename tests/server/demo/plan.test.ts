import { join } from 'node:path'
import { describe, expect, test } from 'vitest'
import { readCourseFiles } from '../../../server/demo/course-files.ts'
import { classmates, signIns } from '../../../server/demo/people.ts'
import { planClass, planStudent, scheduleOf } from '../../../server/demo/plan.ts'
import { readDocument } from '../../../server/exercises/document.ts'
import { packageRoot } from '../../../server/package-root.ts'

const course = readCourseFiles(join(packageRoot, 'prisma', 'seed', 'tram-depot'))
const names = classmates.map(({ userName }) => userName)

describe('the files of the demo course', () => {
  test.each(course.exercises.map((exercise) => [exercise.id, exercise] as const))(
    '%s stands by itself, with a model answer and three wrong ones at least',
    (id, exercise) => {
      const read = readDocument(exercise.source)
      expect(read.revision.code).toBe(id)
      expect(read.exercise.model?.text).toBe(exercise.right.find(({ name }) => name.startsWith('model.'))?.text)
      expect(exercise.wrong.length).toBeGreaterThanOrEqual(3)
    },
  )
})

describe('the demo class', () => {
  const plan = planClass(course, names)

  test('hands in the same things at every start', () => {
    expect(planClass(course, names)).toEqual(plan)
  })

  test('has somebody at every stage: right at once, right after mistakes, still at it', () => {
    const runs = new Map<string, string>()
    for (const { userName, exerciseId, program } of plan) {
      const key = `${userName} ${exerciseId}`
      runs.set(key, (runs.get(key) ?? '') + (program.name.startsWith('wrong-') ? 'w' : 'r'))
    }
    expect(new Set(runs.values())).toEqual(new Set(['r', 'wr', 'wwr', 'w', 'ww']))
  })

  test('hands in after an exercise has opened and before the demo began', () => {
    for (const { exerciseId, hoursAgo } of plan) {
      const place = course.exercises.findIndex(({ id }) => id === exerciseId)
      expect(hoursAgo).toBeGreaterThan(0)
      expect(-hoursAgo).toBeGreaterThan(scheduleOf(place, course.exercises.length).opens)
    }
  })

  test('does more of the early exercises than of the late ones', () => {
    const done = course.exercises.map(
      ({ id }) => new Set(plan.filter((each) => each.exerciseId === id).map((each) => each.userName)).size,
    )
    expect(done).toEqual(done.toSorted((a, b) => b - a))
    expect(done[0]).toBe(names.length)
  })

  test('of the student who signs in leaves something to do, and a failing run to look at', () => {
    const own = planStudent(course, signIns.student.userName)
    expect(own.at(-1)?.program.name).toMatch(/^wrong-/)
    expect(new Set(own.map((each) => each.exerciseId)).size).toBeLessThan(course.exercises.length)
  })
})
