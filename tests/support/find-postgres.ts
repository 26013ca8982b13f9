import { existsSync, readdirSync } from 'node:fs'
import { join } from 'node:path'

const DEBIAN = '/usr/lib/postgresql'
const OLDEST = 15

/** The folder with PostgreSQL's programs, 15 or newer: `POSTGRES_BIN`, else where Debian's packages put them; null when there is none. */
export function findPostgres(): string | null {
  const versions = existsSync(DEBIAN) ? readdirSync(DEBIAN).map(Number) : []
  const places = versions
    .filter((v) => v >= OLDEST)
    .sort((a, b) => b - a)
    .map((v) => join(DEBIAN, String(v), 'bin'))
  return (
    [process.env['POSTGRES_BIN'] ?? '', ...places].find(
      (folder) => folder !== '' && existsSync(join(folder, 'initdb')),
    ) ?? null
  )
}
