import { makePasswordLink } from '../accounts/password-links.ts'
import { findUserByName } from '../store/passwords.ts'
import { CommandProblem } from './output.ts'
import { withServerDatabase } from './server-database.ts'

/** `hexcairn password-link NAME`: a link by which that person sets a new password; for whoever runs the server. */
export async function passwordLinkCommand(userName: string, options: { readonly data?: string }): Promise<number> {
  return withServerDatabase(options.data, async (database, config) => {
    const userId = await findUserByName(database, userName)
    if (userId === null)
      throw new CommandProblem('name-unknown', `Found no account named ${userName}, allowed one of this server.`)
    const { token, expiresAt } = await makePasswordLink(database, userId, { actorId: null })
    const origin = config.publicOrigin ?? `http://${config.host}:${config.port}`
    process.stdout.write(`${origin}/new-password#${token}\nIt works once, until ${expiresAt.toISOString()}.\n`)
    return 0
  })
}
