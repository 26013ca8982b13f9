import { createHash } from 'node:crypto'
import { appendFileSync, existsSync, mkdirSync, readdirSync, readFileSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import type { KeptSeason } from './as-entered'
import { seasonRuns } from './season-runs'

/**
 * Seasons from `first` on, driven or taken from a file of the system's temporary folder, where they are kept for the next time. Its name holds what the referee's sources
 * are, so that no season of another referee is read.
 */
export function keptSeasons(first: number, wanted: number): KeptSeason[] {
  const folder = new URL('.', import.meta.url).pathname
  const sources = createHash('sha256')
  for (const name of readdirSync(folder).sort())
    if (DRIVES.has(name)) sources.update(readFileSync(join(folder, name)))
  const kept = join(tmpdir(), 'stagecall-referee')
  mkdirSync(kept, { recursive: true })
  const file = join(kept, `${sources.digest('hex').slice(0, 16)}-${first}.jsonl`)
  const lines = existsSync(file) ? readFileSync(file, 'utf8').trim().split('\n') : []
  const out: KeptSeason[] = []
  for (let i = 0; out.length < wanted && i < 2 * wanted; i++) {
    let line = lines[i]
    if (!line) {
      const made = seasonRuns(first + i)
      if (made) {
        // The laid path is not needed again.
        const { path: _, ...season } = made.season
        line = JSON.stringify({ ...made, season })
      } else line = 'null'
      appendFileSync(file, `${line}\n`)
    }
    const season = JSON.parse(line) as KeptSeason | null
    if (season) out.push(season)
  }
  return out
}

/** Files that a race depends on. */
const DRIVES = new Set([
  'day-of-season.ts',
  'draw-car.ts',
  'draws.ts',
  'driver.ts',
  'electrics.ts',
  'path.ts',
  'run-race.ts',
  'runge-kutta.ts',
  'season-runs.ts',
  'tire.ts',
  'vehicle.ts',
])
