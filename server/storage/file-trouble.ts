import { DatabaseError } from '@/drizzle/database-error'

const REASON: Record<string, string> = {
  ENOSPC: 'the disk is full; free some space',
  EDQUOT: 'the disk’s share for this user is used up; free some space',
  EFBIG: 'files may not get that large there',
  EROFS: 'that disk can only be read',
  EACCES: 'this user may not; check the permissions',
  EPERM: 'this user may not; check the permissions',
  ENOENT: 'there is no such file or folder',
  ENOTDIR: 'a file stands where a folder should',
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
