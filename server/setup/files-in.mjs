import { existsSync, readdirSync, statSync } from 'node:fs'
import { join } from 'node:path'

/** All files at or under a path, in one order on every system; none where there is nothing. */
export function filesIn(path) {
  if (!existsSync(path)) return []
  if (!statSync(path).isDirectory()) return [path]
  return readdirSync(path, { recursive: true, withFileTypes: true })
    .filter((e) => e.isFile())
    .map((e) => join(e.parentPath, e.name))
    .sort()
}
