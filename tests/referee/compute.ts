import { appendFileSync, existsSync, readFileSync } from 'node:fs'
import { seasonRuns, type SeasonRuns } from './season-runs'

/** `tsx tests/referee/compute.ts FIRST_SEED COUNT FILE`: drives seasons and keeps them, one JSON line each; goes on where the file ends. */
const [first = 0, count = 0] = process.argv.slice(2, 4).map(Number)
const file = process.argv[4] ?? ''
const known = existsSync(file) ? readFileSync(file, 'utf8').trim().split('\n').length : 0
for (let i = known; i < count; i++) {
  const made = seasonRuns(first + i)
  appendFileSync(file, `${JSON.stringify(made && slim(made))}\n`)
}

/** The laid path is not needed again. */
function slim(made: SeasonRuns): unknown {
  const { path, ...season } = made.season
  return { ...made, season: { ...season, lengthM: path.lengthM } }
}
