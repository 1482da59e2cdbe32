import Type, { type Static, type TSchema } from 'typebox'

/** Opaque; nothing may be read out of it. */
export const Id = Type.String({ minLength: 1, maxLength: 64, pattern: '^[A-Za-z0-9_-]+$' })
export type Id = Static<typeof Id>

/** UTC, as in `2026-11-25T09:30:00.000Z`. */
export const Timestamp = Type.String({ format: 'date-time', maxLength: 40 })
export type Timestamp = Static<typeof Timestamp>

export const CourseRole = Type.Enum(['instructor', 'assistant', 'student'])
export type CourseRole = Static<typeof CourseRole>

/** SHA-256 in lower-case hexadecimal. */
export const Digest = Type.String({ pattern: '^[0-9a-f]{64}$' })
export type Digest = Static<typeof Digest>

/** An IANA name, as in `Europe/Berlin`. */
export const TimeZone = Type.String({ minLength: 1, maxLength: 64 })
export type TimeZone = Static<typeof TimeZone>

export const Person = Type.Object({ id: Id, displayName: Type.String() })
export type Person = Static<typeof Person>

export function nullable<T extends TSchema>(schema: T) {
  return Type.Union([schema, Type.Null()])
}

/** `next` goes into the query as `after` and fetches the page that follows; null on the last page. */
export function pageOf<T extends TSchema>(item: T) {
  return Type.Object({ items: Type.Array(item), next: nullable(Type.String()) })
}

export const PageQuery = Type.Object(
  {
    after: Type.Optional(Type.String({ maxLength: 100 })),
    /** 1 to 200, default 50. A query is text, so a number arrives as digits. */
    limit: Type.Optional(Type.String({ pattern: '^[1-9][0-9]{0,2}$' })),
  },
  { additionalProperties: false },
)
export type PageQuery = Static<typeof PageQuery>

export const Nothing = Type.Null()
