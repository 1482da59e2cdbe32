import Type, { type Static } from 'typebox'
import { CourseRole, Id, nullable, Timestamp } from './value.ts'

const UserName = Type.String({ minLength: 3, maxLength: 40, pattern: '^[A-Za-z0-9][A-Za-z0-9._-]*$' })
const Password = Type.String({ minLength: 10, maxLength: 200 })

/** Body of `POST /api/session`. */
export const SignIn = Type.Object(
  { userName: Type.String({ minLength: 1, maxLength: 40 }), password: Type.String({ minLength: 1, maxLength: 200 }) },
  { additionalProperties: false },
)
export type SignIn = Static<typeof SignIn>

/**
 * Body of `POST /api/accounts`: with a course's join code, or with the one-time set-up token of the first account. The
 * link that `hexcairn serve` prints is `/set-up#TOKEN`; whoever has made an account is signed in.
 */
export const NewAccount = Type.Object(
  {
    userName: UserName,
    displayName: Type.String({ minLength: 1, maxLength: 80 }),
    password: Password,
    joinCode: Type.Optional(Type.String({ minLength: 1, maxLength: 40 })),
    setUpToken: Type.Optional(Type.String({ minLength: 1, maxLength: 100 })),
  },
  { additionalProperties: false },
)
export type NewAccount = Static<typeof NewAccount>

/** Body of `PUT /api/session/password`: whoever is signed in changes their password. */
export const PasswordChange = Type.Object(
  { current: Type.String({ minLength: 1, maxLength: 200 }), password: Password },
  { additionalProperties: false },
)
export type PasswordChange = Static<typeof PasswordChange>

/** Answer to an instructor who asked for one: the page is `/new-password#TOKEN`. The token is told this once. */
export const PasswordLink = Type.Object({ token: Type.String(), expiresAt: Timestamp })
export type PasswordLink = Static<typeof PasswordLink>

const LinkToken = Type.String({ minLength: 1, maxLength: 100 })

/** Body of `POST /api/password-links`. */
export const PasswordLinkToken = Type.Object({ token: LinkToken }, { additionalProperties: false })
export type PasswordLinkToken = Static<typeof PasswordLinkToken>

/** Whose password a link sets. */
export const PasswordLinkOwner = Type.Object({
  userName: Type.String(),
  displayName: Type.String(),
  expiresAt: Timestamp,
})
export type PasswordLinkOwner = Static<typeof PasswordLinkOwner>

/** Body of `POST /api/password-links/used`: sets the password and signs in. */
export const NewPassword = Type.Object({ token: LinkToken, password: Password }, { additionalProperties: false })
export type NewPassword = Static<typeof NewPassword>

export const SignedInUser = Type.Object({
  id: Id,
  userName: Type.String(),
  displayName: Type.String(),
  /** May create courses. */
  mayCreateCourses: Type.Boolean(),
})
export type SignedInUser = Static<typeof SignedInUser>

/** Who is asking. Also answered to a visitor who has not signed in: then `user` is null. */
export const Session = Type.Object({
  user: nullable(SignedInUser),
  memberships: Type.Array(Type.Object({ courseId: Id, courseTitle: Type.String(), role: CourseRole })),
  /** Server time, so that a page can count down to a due time on a machine whose clock is wrong. */
  now: Timestamp,
  /** Started by `hexcairn demo`: data is invented and goes away. */
  isDemo: Type.Boolean(),
  /** No account exists yet: the set-up link from the terminal is needed. */
  isSetUpNeeded: Type.Boolean(),
})
export type Session = Static<typeof Session>
