/**
 * `npm run attack`: each attack on the real server process, what was seen, and whether the rule held. Exits 1 where one got through, 2 where none did but
 * the machine was too busy to judge some.
 *   --only S24     one rule's, or those whose title holds these words
 *   --short        those that `npm test` runs as well
 *   --teams        2,000 attempts across teams instead, with times; exits 1 where one told or changed something
 *   --postgres     the same on a PostgreSQL of its own
 */
import { parseArgs } from 'node:util'
import { Postgres } from '../support/postgres'
import { ALL_ATTACKS } from './all-attacks'
import { runAttack } from './run-attack'
import { attackTeams } from './teams'

const { values: o } = parseArgs({
  options: {
    only: { type: 'string' },
    short: { type: 'boolean', default: false },
    teams: { type: 'boolean' },
    postgres: { type: 'boolean' },
  },
})
const ATTEMPTS = 2_000
if (o.teams) {
  const postgres = o.postgres ? await Postgres.start() : null
  const held = await attackTeams(ATTEMPTS, await postgres?.database())
  await postgres?.dispose()
  process.exit(held ? 0 : 1)
}
const wanted = o.only?.toLowerCase()
const attacks = ALL_ATTACKS.filter(
  (a) =>
    (!o.short || a.short) &&
    (wanted === undefined || a.rule.toLowerCase() === wanted || a.title.toLowerCase().includes(wanted)),
)
let through = 0
let unjudged = 0
for (const attack of attacks) {
  const start = performance.now()
  const { held, judged = true, detail } = await runAttack(attack)
  if (!held) through++
  else if (!judged) unjudged++
  const word = !held ? 'GOT THROUGH' : judged ? 'held' : 'NOT JUDGED'
  const seconds = ((performance.now() - start) / 1000).toFixed(1)
  console.log(`${word.padEnd(11)}  ${attack.rule.padEnd(4)} ${attack.title} (${seconds} s)`)
  console.log(`             ${detail}`)
}
const held = attacks.length - through - unjudged
console.log(
  `\n${attacks.length} attacks: ${held} held, ${through} got through${unjudged > 0 ? `, ${unjudged} not judged` : ''}`,
)
process.exit(through > 0 || attacks.length === 0 ? 1 : unjudged > 0 ? 2 : 0)
