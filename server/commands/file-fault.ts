// What the system answers when a file cannot be used (errno names of POSIX).
const reasons: Readonly<Record<string, string>> = {
  ENOENT: 'its folder does not exist',
  ENOTDIR: 'a part of its path is no folder',
  EACCES: 'this user may not',
  EPERM: 'this user may not',
  EROFS: 'the disk is read-only',
  EISDIR: 'it is a folder',
  ENOSPC: 'the disk is full',
  EDQUOT: 'the disk space of this user is used up',
  ENAMETOOLONG: 'its name is too long',
  ELOOP: 'its links go round in a circle',
  EBADF: 'it is not open',
  EIO: 'the device failed',
}

/** Why a file cannot be read or written, in words. Whatever is no answer of the system is thrown again. */
export function reasonOf(error: unknown): string {
  const { code } = error as NodeJS.ErrnoException
  if (!(error instanceof Error) || code === undefined) throw error
  return reasons[code] ?? code
}
