import { DatabaseError } from '@/drizzle/database-error'

const REASON: Record<string, string> = {
  ENOSPC: 'the disk is full; free some space',
  EDQUOT: 'the disk’s share for this user is used up; free some space',
  EFBIG: 'files can’t be that large there',
  EROFS: 'that disk is read-only',
  EACCES: 'this user is not allowed to; check the permissions',
  EPERM: 'this user is not allowed to; check the permissions',
  ENOENT: 'there is no such file or folder',
  ENOTDIR: 'there is a file where a folder should be',
  EISDIR: 'it is a folder, not a file',
  EIO: 'the disk reports errors',
  EMFILE: 'too many files are open',
  EEXIST: 'it exists already',
}

/** What is wrong, for people, when a file or the database could not be read or written; null for any other error. */
export function fileTrouble(e: unknown): { path: string; reason: string } | null {
  if (e instanceof DatabaseError) return { path: '', reason: e.reason }
  if (!(e instanceof Error) || !('syscall' in e) || !('code' in e) || typeof e.code !== 'string') return null
  const reason = REASON[e.code] ?? e.code
  return { path: 'path' in e && typeof e.path === 'string' ? e.path : '', reason }
}
