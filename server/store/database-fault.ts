/** Why a database cannot be used, in one line for whoever started the program. */
export class DatabaseFault extends Error {
  constructor(message: string, options?: ErrorOptions) {
    super(message.replace(/\s+/g, ' '), options)
    this.name = 'DatabaseFault'
  }
}

/** What a connection string names, without its password. */
function placeOf(connectionString: string): {
  readonly server: string
  readonly database: string
  readonly user: string
} {
  const url = new URL(connectionString)
  const host = url.hostname || url.searchParams.get('host') || 'localhost'
  return {
    server: `The PostgreSQL server at ${host}:${url.port || '5432'}`,
    database: decodeURIComponent(url.pathname.slice(1)) || decodeURIComponent(url.username),
    user: decodeURIComponent(url.username),
  }
}

/** The line for a server that could not be reached or that let nobody in. */
export function hostedFault(error: unknown, connectionString: string): DatabaseFault {
  const { server, database, user } = placeOf(connectionString)
  const { code, message } = error as { readonly code?: string; readonly message?: string }
  const say = (line: string): DatabaseFault => new DatabaseFault(`${server} ${line}`, { cause: error })
  const correct = 'or correct DATABASE_URL.'
  switch (code) {
    // PostgreSQL's own codes: appendix A of its manual.
    case '3D000':
      return say(`has no database '${database}'. Make it with createdb, ${correct}`)
    case '28P01':
      return say(`refuses the password of '${user}'. Correct DATABASE_URL.`)
    case '28000':
      return say(`does not let '${user}' in. Create that user, ${correct}`)
    case '42501':
      return say(`does not let '${user}' make tables in '${database}'. Make that user the owner of the database.`)
    case '53300':
      return say('has no connection left. Raise its max_connections, or stop what holds them.')
    case '57P03':
      return say('is being started or stopped. Try again in a moment.')
    case '55P03':
      return say('has had another Hexcairn setting up its tables for three minutes. Try again, or stop that one.')
    case 'ECONNREFUSED':
      return say(`is not there: the connection was refused. Start it, ${correct}`)
    case 'ENOTFOUND':
    case 'EAI_AGAIN':
      return say('is not there: no computer has that name. Correct DATABASE_URL.')
    case 'EHOSTUNREACH':
    case 'ENETUNREACH':
    case 'ETIMEDOUT':
      return say(`cannot be reached. Look at the network, ${correct}`)
    case 'ENOENT':
      return say(`is not there: it has no socket. Start it, ${correct}`)
  }
  if (/timeout/i.test(message ?? '')) return say(`does not answer. Start it again, ${correct}`)
  return say(`cannot be used: ${String(message ?? error)}.`)
}

/** The line for a folder that cannot hold the embedded database. */
export function folderFault(error: unknown, folder: string): DatabaseFault {
  const { code, message } = error as { readonly code?: string; readonly message?: string }
  const say = (why: string): DatabaseFault =>
    new DatabaseFault(
      `The database folder ${folder} cannot be used: ${why}. Choose another one with --data or HEXCAIRN_DATA.`,
      { cause: error },
    )
  switch (code) {
    case 'EEXIST':
      return say('it is a file')
    case 'ENOTDIR':
      return say('a part of its path is a file')
    case 'EACCES':
    case 'EPERM':
      return say('this user may not write there')
    case 'EROFS':
      return say('its disk is read-only')
    case 'ENOSPC':
    case 'EDQUOT':
      return say('its disk is full')
    case 'ENOENT':
      return say('it cannot be made there')
    case 'ENAMETOOLONG':
      return say('its name is too long')
  }
  return say((message ?? String(error)).split('\n')[0]?.replace(/\.$/, '') ?? '')
}
