/**
 * `npm run fuzz`: the real server process under seeded work.
 *   --seeds N      N random scenarios (default 20), or --from S to start at a seed, --seed S for one alone
 *   --kills N      N times kill -9 at a random moment under load
 *   --photo-kills N  N times kill -9 while photos are sent
 *   --import-kills N  N times kill -9 while an archive is imported
 *   --damage N     N times damage at a random place of database, log or mark (--seed S to repeat one run)
 *   --restores N   N seeded days of phones under restores from random backups (--seed S to start at a seed)
 *   --postgres     scenarios and kills on PostgreSQL in place of SQLite; a full disk is played there by the database
 *   --processes N  the scenarios against N processes on PostgreSQL, the one that judges killed and paused (--seeds, --from)
 *   --rolling N    three processes on PostgreSQL under load, each stopped and started again, N times around
 *   --standby N    two processes on PostgreSQL under load, its primary killed and its standby promoted, N times (needs pg_basebackup beside the engine)
 *   --behind       with it: a standby that lacks the last writes is promoted, once, and the run must find what is lost
 *   --team-failovers N  two processes on PostgreSQL that serve many teams (--teams, default 20), the one that leads killed N times
 *   --hostile N    N hostile frames from a guest's device
 *   --derived N    N random sequences of edits, after which every derived fact is compared with a board derived from nothing (--seed S)
 */
import { parseArgs } from 'node:util'
import { checkSequences } from '../support/derived-sequences'
import { whyNoPostgres } from '../support/postgres'
import { runDamage } from './damage-run'
import { FuzzCrew, FuzzedPostgres } from './fuzz-crew'
import { runHostile } from './hostile-run'
import { runImportKills } from './import-kill-run'
import { runKills } from './kill-run'
import { runPhotoKills } from './photo-kill-run'
import { runRestores } from './restore-run'
import { runProcesses } from './processes-run'
import { runRolling, sayRolling } from './rolling-run'
import { sayProcesses } from './say-processes'
import { sayStandby } from './say-standby'
import { FAULTS, runScenario } from './scenario'
import { runStandby } from './standby-run'
import { sayTeamFailovers } from './say-team-failovers'
import { runTeamFailovers } from './team-failover-run'

const { values: o } = parseArgs({
  options: {
    seeds: { type: 'string' },
    from: { type: 'string' },
    seed: { type: 'string' },
    kills: { type: 'string' },
    'photo-kills': { type: 'string' },
    'import-kills': { type: 'string' },
    hostile: { type: 'string' },
    postgres: { type: 'boolean' },
    processes: { type: 'string' },
    rolling: { type: 'string' },
    standby: { type: 'string' },
    'team-failovers': { type: 'string' },
    teams: { type: 'string' },
    behind: { type: 'boolean' },
    derived: { type: 'string' },
    damage: { type: 'string' },
    restores: { type: 'string' },
  },
})
const kinds = ['lost', 'leak', 'divergence', 'crash', 'hang', 'trouble'] as const
if (o.derived !== undefined) {
  const seed = Number(o.seed ?? Date.now() % 1e6)
  checkSequences(Number(o.derived), seed)
  console.log(
    `${o.derived} sequences from seed ${seed}: every fact equals that of a board derived from nothing`,
  )
  process.exit(0)
}
if (o.damage !== undefined) {
  const { cases, rows, silent } = runDamage(Number(o.damage), Number(o.seed ?? Date.now() % 1e6))
  console.table(rows)
  for (const line of silent) console.log(line)
  console.log(`${cases} damaged boards: ${silent.length} silent losses`)
  process.exit(silent.length > 0 ? 1 : 0)
}
if (o['import-kills'] !== undefined) {
  const seed = Number(o.seed ?? Date.now() % 1e6)
  const r = await runImportKills(Number(o['import-kills']), seed, (line) => console.log(line))
  console.log(
    `${r.kills} kills from seed ${seed}: ${r.cut} cut an import, ${r.begun} of those after it had written; ${r.faults.length} faults`,
  )
  for (const f of r.faults) console.log(`  ${f}`)
  process.exit(r.faults.length > 0 ? 1 : 0)
}
if (o.restores !== undefined) {
  const [first, n] = [Number(o.seed ?? 1 + (Date.now() % 1e6)), Number(o.restores)]
  const sum = { edits: 0, restores: 0, told: 0, killed: 0 }
  let failed = 0
  for (let seed = first; seed < first + n; seed++) {
    const r = await runRestores(seed)
    for (const key of ['edits', 'restores', 'told', 'killed'] as const) sum[key] += r[key]
    if (r.faults.length === 0) continue
    failed++
    console.log(`seed ${seed} failed:`)
    for (const fault of r.faults.slice(0, 8)) console.log(`  ${fault}`)
    console.log(r.trace.map((line) => `    ${line}`).join('\n'))
  }
  console.log(
    `${n} days from seed ${first}: ${failed} failed; ${sum.edits} edits, ${sum.restores} restores, ${sum.killed} pages killed ` +
      `in the middle of it, ${sum.told} losses told to their authors`,
  )
  process.exit(failed > 0 ? 1 : 0)
}
if (o.processes !== undefined) {
  const from = Number(o.from ?? 1 + (Date.now() % 1e9))
  const r = await runProcesses(Number(o.processes), from, Number(o.seeds ?? 20), (line) => console.log(line))
  process.exit(sayProcesses(r) ? 0 : 1)
}
if (o.rolling !== undefined) {
  const r = await runRolling(Number(o.rolling), (line) => console.log(line))
  process.exit(sayRolling(r) ? 0 : 1)
}
if (o['team-failovers'] !== undefined) {
  const r = await runTeamFailovers(Number(o['team-failovers']), Number(o.teams ?? 20), (line) =>
    console.log(line),
  )
  process.exit(sayTeamFailovers(r) ? 0 : 1)
}
if (o.standby !== undefined) {
  const why = whyNoPostgres()
  if (why !== null) {
    console.log(`No standby was tried, and nothing counts as passed: PostgreSQL can’t be started (${why})`)
    process.exit(1)
  }
  if (o.behind) {
    const { acknowledged, lost } = await runStandby(1, (line) => console.log(line), true)
    console.log(
      `${acknowledged} edits acknowledged; not in the promoted database, which lacks the last writes:`,
    )
    for (const line of lost) console.log(`  ${line}`)
    console.log(lost.length > 0 ? 'found: met' : 'nothing was found: missed')
    process.exit(lost.length > 0 ? 0 : 1)
  }
  const r = await runStandby(Number(o.standby), (line) => console.log(line))
  process.exit(sayStandby(r, Number(o.standby)) ? 0 : 1)
}
const postgres = o.postgres ? await FuzzedPostgres.start() : null
const crew = await FuzzCrew.start(postgres)
let bad = 0
try {
  if (o.kills !== undefined) {
    const r = await runKills(crew, Number(o.kills), Date.now() % 1e6, (line) => console.log(line))
    console.log(
      `${r.kills} kills: ${r.acknowledged} edits acknowledged, ${r.lost.length} of them lost or acknowledged falsely; ` +
        `${r.unacknowledgedKept} unacknowledged edits were kept as well`,
    )
    for (const l of r.lost) console.log(`  ${l}`)
    bad += r.lost.length
  }
  if (o['photo-kills'] !== undefined) {
    const r = await runPhotoKills(crew, Number(o['photo-kills']), Date.now() % 1e6, (line) =>
      console.log(line),
    )
    console.log(
      `${r.kills} kills: ${r.acknowledged} photos acknowledged, ${r.lost.length} of them lost, ${r.halves.length} half there`,
    )
    for (const l of [...r.lost, ...r.halves]) console.log(`  ${l}`)
    bad += r.lost.length + r.halves.length
  }
  if (o.hostile !== undefined) {
    const r = await runHostile(crew, Number(o.hostile), Date.now() % 1e6)
    console.log(
      `${r.sent} hostile frames over ${r.sockets} sockets: ${r.changes.length} state changes, ${r.crashes} crashes, ` +
        `${r.refusals} refusals`,
    )
    for (const [kind, n] of r.byKind) console.log(`  ${String(n).padStart(6)} ${kind}`)
    for (const c of r.changes) console.log(`  changed: ${c}`)
    bad += r.changes.length + r.crashes
  }
  if (o.kills === undefined && o['photo-kills'] === undefined && o.hostile === undefined) {
    const from = o.seed !== undefined ? Number(o.seed) : Number(o.from ?? 1 + (Date.now() % 1e9))
    const n = o.seed !== undefined ? 1 : Number(o.seeds ?? 20)
    const failed: number[] = []
    const sum = { steps: 0, acknowledged: 0, refused: 0, restarts: 0 }
    const found = { lost: 0, leak: 0, divergence: 0, crash: 0, hang: 0, trouble: 0 }
    for (let seed = from; seed < from + n; seed++) {
      const r = await runScenario(crew, seed)
      for (const key of ['steps', 'acknowledged', 'refused', 'restarts'] as const) sum[key] += r[key]
      for (const f of r.faults) found[f.kind]++
      if (r.faults.length === 0) continue
      failed.push(seed)
      console.log(`seed ${seed} failed:`)
      for (const f of r.faults.slice(0, 8)) console.log(`  ${FAULTS[f.kind]}: ${f.what}`)
      if (!crew.server.running) await crew.server.restart()
    }
    console.log(
      `${n} seeds from ${from}: ${failed.length} failed; ${sum.steps} steps, ${sum.acknowledged} edits acknowledged, ` +
        `${sum.refused} refusals, ${sum.restarts} kills`,
    )
    console.log(kinds.map((k) => `${found[k]} ${FAULTS[k]}`).join(', '))
    if (failed.length > 0)
      console.log(`failing seeds: ${failed.join(', ')} (pin them in tests/fuzz/pinned-seeds.ts)`)
    bad += failed.length
  }
  crew.lookAtMemory()
  console.log(`server memory at most ${(crew.peakBytes / 2 ** 20).toFixed(0)} MiB`)
} finally {
  await crew.server.dispose()
  await postgres?.server.dispose()
}
process.exit(bad > 0 ? 1 : 0)
