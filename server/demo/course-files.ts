import { existsSync, readdirSync, readFileSync } from 'node:fs'
import { join } from 'node:path'
import { parseDocument } from 'yaml'
import { formatOfFile } from '../../core/exercise/index.ts'
import type { ProgramFormat } from '../contract/index.ts'

export interface ProgramFile {
  readonly name: string
  readonly format: ProgramFormat
  readonly text: string
}

export interface ExerciseFiles {
  readonly id: string
  /** The document with its model answer taken in, so that it stands by itself. */
  readonly source: string
  readonly right: readonly ProgramFile[]
  readonly wrong: readonly ProgramFile[]
  /** What the class writes to its questions, by the id of the question. */
  readonly answers: Readonly<Record<string, readonly string[]>>
}

export interface CourseFiles {
  readonly title: string
  readonly about: string
  readonly exercises: readonly ExerciseFiles[]
}

/** Reads a course from a folder: `course.yaml`, and one folder an exercise. */
export function readCourseFiles(folder: string): CourseFiles {
  const course = parseDocument(readFileSync(join(folder, 'course.yaml'), 'utf8')).toJS() as {
    readonly title: string
    readonly about?: string
    readonly exercises: readonly { readonly folder: string }[]
  }
  return {
    title: course.title,
    about: course.about ?? '',
    exercises: course.exercises.map((each) => readExerciseFiles(join(folder, each.folder), each.folder)),
  }
}

function readExerciseFiles(folder: string, id: string): ExerciseFiles {
  const programs = readdirSync(folder)
    .sort()
    .filter((name) => /^(model|other|wrong-[a-z0-9-]+)\.(asm|hex|ihx)$/.test(name))
    .map((name) => ({ name, format: formatOfFile(name), text: readFileSync(join(folder, name), 'utf8') }))
  const document = parseDocument(readFileSync(join(folder, 'exercise.yaml'), 'utf8'))
  const modelName = document.getIn(['model', 'file'])
  const answers = join(folder, 'answers.yaml')
  const model = programs.find(({ name }) => name === modelName)
  if (model !== undefined) document.set('model', document.createNode({ format: model.format, text: model.text }))
  return {
    id,
    source: document.toString({ lineWidth: 120 }),
    right: programs.filter(({ name }) => !name.startsWith('wrong-')),
    wrong: programs.filter(({ name }) => name.startsWith('wrong-')),
    answers: existsSync(answers)
      ? (parseDocument(readFileSync(answers, 'utf8')).toJS() as ExerciseFiles['answers'])
      : {},
  }
}
