import { createHash, timingSafeEqual } from 'node:crypto'
import type { IncomingMessage, ServerResponse } from 'node:http'
import { isIP } from 'node:net'
import { Counter, Gauge, Histogram, Registry } from 'prom-client'
import type { SyncStats } from '../sync/sync-surface'
import { setSecurityHeaders } from './security-headers'

/** s. A commit is one sync of a disk, or a round to the database and its standby. */
const COMMIT_BUCKETS = [0.0005, 0.001, 0.002, 0.004, 0.008, 0.016, 0.032, 0.064, 0.125, 0.25, 0.5, 1, 2, 5]

/** Figures of this process for Prometheus: counts and times, no name of a person, a room or a phone. */
export class Metrics {
  readonly #registry = new Registry()
  readonly #commits: Histogram

  /** `stats`: of the board that this process serves; null while it serves none. */
  constructor(stats: () => SyncStats | null) {
    const registers = [this.#registry]
    const gauge = (name: string, help: string, read: () => number) =>
      new Gauge({
        name: `stagecall_${name}`,
        help,
        registers,
        collect() {
          this.set(read())
        },
      })
    const total = (name: string, help: string, read: (stats: SyncStats) => number) =>
      new Counter({
        name: `stagecall_${name}_total`,
        help,
        registers,
        collect() {
          this.reset()
          const is = stats()
          this.inc(is === null ? 0 : read(is))
        },
      })
    gauge('serves_board', 'Whether this process judges the board: 1 or 0.', () => Number(stats() !== null))
    gauge('writable', 'Whether the board takes edits here: 1 or 0.', () => Number(stats()?.readOnly === null))
    gauge('rooms', 'Rooms in memory.', () => stats()?.rooms ?? 0)
    gauge('sockets', 'Sockets that are seated in rooms.', () => stats()?.sockets ?? 0)
    total('turns', 'Commits that were tried for the board.', (s) => s.turns)
    total('commits_failed', 'Times that the board turned read-only.', (s) => s.failedCommits)
    total('frames_refused', 'Frames that were refused whole.', (s) => s.framesRefused)
    for (const outcome of ['accepted', 'refused', 'overwritten'] as const)
      total(`edits_${outcome}`, `Changed fields that were ${outcome}.`, (s) => s.edits[outcome])
    gauge('memory_resident_bytes', 'Memory that the system counts to this process.', () => memory().rss)
    gauge('memory_heap_bytes', 'Memory that its objects take.', () => memory().heapUsed)
    this.#commits = new Histogram({
      name: 'stagecall_commit_seconds',
      help: 'How long commits of the board took, failed ones too.',
      buckets: COMMIT_BUCKETS,
      registers,
    })
  }

  readonly committed = (ms: number): void => this.#commits.observe(ms / 1000)

  text(): Promise<string> {
    return this.#registry.metrics()
  }
  get contentType(): string {
    return this.#registry.contentType
  }
}

const memory = () => process.memoryUsage()

/** Whoever may not read them learns no more than that there is nothing. */
export async function answerMetrics(
  metrics: Metrics,
  token: string | null,
  req: IncomingMessage,
  res: ServerResponse,
): Promise<void> {
  setSecurityHeaders(res, `default-src 'none'; frame-ancestors 'none'`)
  if (!mayRead(req, token)) {
    res.writeHead(404, { 'Content-Type': 'text/plain; charset=utf-8', 'Cache-Control': 'no-store' })
    res.end('There is nothing here.\n')
    return
  }
  const text = await metrics.text()
  res.writeHead(200, { 'Content-Type': metrics.contentType, 'Cache-Control': 'no-store' })
  res.end(text)
}

/**
 * With a token set, whoever brings it; else this machine itself. A proxy on the same machine speaks for others, and shows it by a header or by
 * the name that it was asked for.
 */
function mayRead(req: IncomingMessage, token: string | null): boolean {
  const { authorization, host = '' } = req.headers
  if (token !== null) return isSame(authorization ?? '', `Bearer ${token}`)
  const isForwarded = ['forwarded', 'via', 'x-forwarded-for', 'x-real-ip'].some((h) => h in req.headers)
  return !isForwarded && isLoopback(req.socket.remoteAddress ?? '') && isLoopback(nameOf(host))
}

const nameOf = (host: string) => host.replace(/:\d+$/, '').replace(/^\[|\]$/g, '')

function isLoopback(name: string): boolean {
  const bare = name.replace(/^::ffff:(?=\d+\.)/, '')
  return bare === 'localhost' || bare === '::1' || (isIP(bare) === 4 && bare.startsWith('127.'))
}

/** In the same time wherever they differ. */
function isSame(a: string, b: string): boolean {
  const digest = (text: string) => createHash('sha256').update(text).digest()
  return timingSafeEqual(digest(a), digest(b))
}
