import { Front } from '../../fuzz/front'
import { makeMeeting } from '../../support/make-meeting'
import type { Postgres } from '../../support/postgres'
import { ServerProcess } from '../../support/server-process'
import { servesBoard, startPeer } from '../../support/several-processes'
import { cpuOf } from '../sync/figures'
import type { LoadConfig } from '../sync/load'
import { cookiesFor } from './cookies-for'
import { runLoad } from './run-load'

export interface EngineFigures {
  name: string
  p50: number
  p99: number
  perSecond: number
  /** Of all of the board's processes, without PostgreSQL's, ms. */
  cpuPerEdit: number
  undelivered: number
}

const CLIENTS = 60
const PACED = { edits: 300, rate: 30 }

/** One room of 60 phones on a board of 600 heats: the load of `npm run bench:sync`, on each engine. `postgres` null: SQLite alone. */
export async function measureEngines(postgres: Postgres | null, edits: number): Promise<EngineFigures[]> {
  const env = { STAGECALL_LOG: 'warn' }
  const one = async (database?: string) => [
    await ServerProcess.start({ screens: false, env, ...(database !== undefined && { database }) }),
  ]
  const figures = [await measure('one process, SQLite', await one(), edits)]
  if (!postgres) return figures
  figures.push(await measure('one process, PostgreSQL', await one(await postgres.database()), edits))
  const shared = await postgres.database()
  const three: ServerProcess[] = []
  for (let n = 0; n < 3; n++) three.push(await startPeer(shared, env))
  figures.push(await measure('three processes, PostgreSQL', three, edits))
  return figures
}

async function measure(name: string, servers: ServerProcess[], edits: number): Promise<EngineFigures> {
  const front =
    servers.length > 1
      ? await Front.start(
          servers.map((s) => s.port),
          5_000,
        )
      : null
  try {
    const first = servers[0] as ServerProcess
    const cookies = await cookiesFor(first, CLIENTS)
    const port = front?.port ?? first.port
    await makeMeeting(port, cookies[0] ?? '', 'bench')
    let judge = first
    for (const s of servers) if (servers.length > 1 && (await servesBoard(s))) judge = s
    const config: LoadConfig = {
      url: `ws://127.0.0.1:${port}/sync`,
      room: 'meeting-bench',
      flavour: 'stock',
      cookies,
      serverPid: judge.pid,
      clients: CLIENTS,
      heats: 600,
      paced: PACED.edits,
      rate: PACED.rate,
      writers: 4,
      window: 32,
      edits,
      loads: 1,
      namedClient: '',
    }
    const cpu = () => servers.reduce((sum, s) => sum + cpuOf(s.pid), 0)
    const before = cpu()
    const r = await runLoad<{
      latency: { p50: number; p99: number; undelivered: number }
      throughput: { perSecond: number; edits: number }
    }>(new URL('../sync/load.ts', import.meta.url), config)
    const { p50, p99, undelivered } = r.latency
    const cpuPerEdit = ((cpu() - before) * 1_000) / (r.throughput.edits + 2 * PACED.edits)
    return { name, p50, p99, undelivered, perSecond: r.throughput.perSecond, cpuPerEdit }
  } finally {
    front?.close()
    await Promise.all(servers.map((s) => s.dispose()))
  }
}
