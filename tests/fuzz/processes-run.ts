import type { Postgres } from '../support/postgres'
import { Fleet } from './fleet'
import { FuzzCrew, FuzzedPostgres } from './fuzz-crew'
import { FAULTS, runScenario, type FaultKind } from './scenario'

/** Acts of a seed that take the judging process away, about. */
const STRIKES = 3
export const FAILOVER_GOAL_MS = 2_000

export interface ProcessesResult {
  seeds: number
  failed: number[]
  acknowledged: number
  found: Record<FaultKind, number>
  /** Shown to a phone, and in no line of the history. */
  unstored: number
  /** Lines of the history that say the same value was taken twice. */
  judgedTwice: number
  failovers: Fleet['failovers']
}

/** The scenarios of one process, against several on PostgreSQL, of which the one that judges is killed and paused again and again. */
export async function runProcesses(
  processes: number,
  from: number,
  seeds: number,
  log: (line: string) => void,
): Promise<ProcessesResult> {
  const postgres = await FuzzedPostgres.start()
  const fleet = await Fleet.start(postgres, processes)
  const result: ProcessesResult = {
    seeds: 0,
    failed: [],
    acknowledged: 0,
    found: { lost: 0, leak: 0, divergence: 0, crash: 0, hang: 0, trouble: 0 },
    unstored: 0,
    judgedTwice: 0,
    failovers: fleet.failovers,
  }
  try {
    const crew = await FuzzCrew.over(fleet, postgres)
    await fleet.watch()
    for (let seed = from; seed < from + seeds; seed++) {
      const r = await runScenario(crew, seed, STRIKES)
      const { unstored, twice } = await compareWithHistory(postgres, `meeting-fuzz${seed}`, r.seen)
      for (const f of r.faults) result.found[f.kind]++
      result.seeds++
      result.acknowledged += r.acknowledged
      result.unstored += unstored.length
      result.judgedTwice += twice.length
      const what = [
        ...r.faults.map((f) => `${FAULTS[f.kind]}: ${f.what}`),
        ...unstored.map((u) => `seen but not stored: ${u}`),
        ...twice.map((t) => `judged twice: ${t}`),
      ]
      if (what.length > 0) {
        result.failed.push(seed)
        log(`seed ${seed} failed:`)
        for (const line of what.slice(0, 8)) log(`  ${line}`)
      }
      if (result.seeds % 5 === 0) log(`${result.seeds} seeds, ${fleet.failovers.length} faults`)
    }
  } finally {
    await fleet.dispose()
    await postgres.server.dispose()
  }
  return result
}

/** Every value is written once by one phone, so that the history names it once. */
export async function compareWithHistory(
  { server, address }: { server: Postgres; address: string },
  room: string,
  seen: ReadonlyMap<string, readonly string[]>,
): Promise<{ unstored: string[]; twice: string[] }> {
  const rows = await server.ask(
    address,
    `SELECT record_id || ':' || field, after FROM audit JOIN rooms ON rooms.id = audit.room_id
     WHERE rooms.name = $1 AND outcome <> 'refused' AND collection = 'notes' AND after LIKE '%#%'`,
    [room],
  )
  const taken = new Map<string, number>()
  for (const [key, after] of rows) {
    const entry = `${String(key)} ${String(JSON.parse(String(after)))}`
    taken.set(entry, (taken.get(entry) ?? 0) + 1)
  }
  return {
    unstored: [...seen].flatMap(([phone, list]) =>
      list.filter((entry) => !taken.has(entry)).map((entry) => `${phone} saw ${entry}`),
    ),
    twice: [...taken].filter(([, n]) => n > 1).map(([entry, n]) => `${entry}, ${n} times`),
  }
}
