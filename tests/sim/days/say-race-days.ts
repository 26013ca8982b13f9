import { createHash } from 'node:crypto'
import { findMutant } from './find-mutant'
import { PLANTED_MUTANTS } from './planted-mutants'
import { runRaceDay } from './race-day'

/** Days that one core must do in an hour. */
const GOAL_PER_HOUR = 1_000
/** After this many days a long run says how far it has come, so that one that is cut short has shown something. */
const SAID_EVERY = 500
/** Of this many days it is tried whether each does the same once more. */
const REPEATED = 10

/** Run days and mutants, and print what came of them; false where a goal is missed. */
export async function sayRaceDays(seed: number, days: number, most: number): Promise<boolean> {
  // Every provider listens to the end of the process.
  process.setMaxListeners(0)
  const before = process.cpuUsage()
  const hash = createHash('sha256')
  const [digests, bad]: [string[], string[]] = [[], []]
  const sum = { acknowledged: 0, commits: 0, events: 0 }
  for (let n = seed; n < seed + days; n++) {
    const day = await runRaceDay(n)
    hash.update(day.digest)
    digests.push(day.digest)
    for (const what of day.violations) bad.push(`seed ${n}: ${what}`)
    sum.acknowledged += day.acknowledged
    sum.commits += day.commits
    sum.events += day.events
    const done = n - seed + 1
    if (done % SAID_EVERY === 0)
      console.log(`${done} days, ${sum.acknowledged} edits acknowledged, ${bad.length} violations`)
  }
  const { user, system } = process.cpuUsage(before)
  const perHour = Math.floor((days * 3_600) / ((user + system) / 1e6))
  let isRepeated = true
  for (const [i, digest] of digests.slice(0, REPEATED).entries())
    if ((await runRaceDay(seed + i)).digest !== digest) isRepeated = false
  for (const line of bad) console.log(line)
  console.table({
    'days run': days,
    'days an hour on one core': perHour,
    violations: bad.length,
    'edits acknowledged': sum.acknowledged,
    commits: sum.commits,
    events: sum.events,
    digest: hash.digest('hex').slice(0, 16),
    'digest repeated': isRepeated ? 'yes' : 'no',
  })
  const found = []
  for (const mutant of PLANTED_MUTANTS) found.push(await findMutant(mutant, seed, most))
  console.table(
    found.map(({ what, seed: at, days: n, violation }) => ({
      mutant: what,
      'found at seed': at ?? 'not found',
      days: n,
      by: violation.slice(0, 60),
    })),
  )
  return bad.length === 0 && isRepeated && perHour >= GOAL_PER_HOUR && found.every((f) => f.seed !== null)
}
