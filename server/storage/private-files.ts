import { chmodSync, existsSync, lstatSync, readdirSync } from 'node:fs'
import { join } from 'node:path'
import { DATABASE_FILE } from './database-file'
import { LOCK_FILE } from './folder-lock'

/** Bits for the group and everybody. */
const OTHERS = 0o077

/**
 * Take everybody but the owner off the board's own files in a data folder, as earlier versions left them; whatever else lies there is somebody
 * else's business. What is made from now on is private by the process's umask (start.mjs).
 */
export function makePrivate(dataFolder: string): void {
  const own = readdirSync(dataFolder).filter(
    (name) => name.startsWith(DATABASE_FILE) || name.startsWith(LOCK_FILE) || name === 'running.json',
  )
  const tls = join(dataFolder, 'tls')
  const keys = existsSync(tls) ? readdirSync(tls).map((name) => join('tls', name)) : []
  for (const name of [...own, ...keys]) {
    const path = join(dataFolder, name)
    const stats = lstatSync(path)
    if (stats.isFile() && stats.mode & OTHERS) chmodSync(path, stats.mode & 0o700)
  }
}
