import { mkdtempSync, rmSync } from 'node:fs'
import { tmpdir } from 'node:os'
import { join } from 'node:path'
import pino from 'pino'
import type { Role } from '@/lib/core/role'
import type { NewInvitation } from '@/server/join/invitations'
import { startServer, type ServerInputs } from '@/server/start-server'
import { realTimers, type Timers } from '@/server/sync/timers'
import { fakeSync } from './fake-sync'

/** Durations in a test's own hand: nothing passes until `advance`. */
export class HandTimers implements Timers {
  #at = 0
  #waiting: { at: number; run: () => void }[] = []
  #onWait: (() => void)[] = []
  turn = realTimers.turn
  soon = realTimers.soon
  every = realTimers.every
  steady = () => this.#at
  after = (ms: number, run: () => void) => {
    const entry = { at: this.#at + ms, run }
    this.#waiting.push(entry)
    for (const seen of this.#onWait.splice(0)) seen()
    return () => void (this.#waiting = this.#waiting.filter((e) => e !== entry))
  }
  /** How long each thing that waits still has to, ms. */
  get waits(): number[] {
    return this.#waiting.map((e) => e.at - this.#at)
  }
  /** Resolves as soon as `count` things wait. */
  async waiting(count: number): Promise<void> {
    while (this.#waiting.length < count) await new Promise<void>((resolve) => this.#onWait.push(resolve))
  }
  advance(ms: number): void {
    this.#at += ms
    const due = this.#waiting.filter((e) => e.at <= this.#at)
    this.#waiting = this.#waiting.filter((e) => e.at > this.#at)
    for (const { run } of due) run()
  }
}

/** The real HTTP API in this process on a free port, over a passing database, with a fake sync and clocks the test owns. */
export async function apiServer(over: Partial<ServerInputs> = {}) {
  const dataFolder = mkdtempSync(join(tmpdir(), 'stagecall-api-'))
  const timers = new HandTimers()
  const clock = { at: Date.UTC(2026, 4, 2, 8), now: () => clock.at }
  const fake = fakeSync()
  const log: string[] = []
  const server = await startServer({
    settings: {
      port: 0,
      host: '127.0.0.1',
      dataFolder,
      database: null,
      peer: null,
      teams: null,
      logLevel: 'info',
      metricsToken: null,
      allowedHosts: ['pit.example'],
    },
    clock,
    timers,
    log: pino({ level: 'debug' }, { write: (line: string) => void log.push(line) }),
    version: '0.0.0-test',
    dev: false,
    tls: null,
    createSync: () => fake.sync,
    startScreens: null,
    ...over,
  })
  const origin = `http://127.0.0.1:${server.port}`
  const send = (path: string, body: unknown, headers: Record<string, string> = {}) =>
    fetch(origin + path, {
      method: 'POST',
      headers: { 'content-type': 'application/json', ...headers },
      body: typeof body === 'string' ? body : JSON.stringify(body),
    })
  const board = server.board()
  if (board === null) throw new Error('The board is served elsewhere')
  const invite = (role: Role, over: Partial<NewInvitation> = {}) =>
    board.invitations.create({
      role,
      name: null,
      hours: 1,
      singleUse: false,
      createdBy: 'test',
      ...over,
    })
  /** Join and hand back the cookie header and who that is. */
  const join_ = async (role: Role, name: string) => {
    const res = await send('/api/join', { code: invite(role).code, name })
    const cookie = (res.headers.get('set-cookie') ?? '').split(';')[0] ?? ''
    const { session } = (await res.json()) as { session: { personId: string; deviceId: string } }
    return { ...session, cookie, headers: { cookie } }
  }
  return {
    server,
    board,
    origin,
    clock,
    timers,
    fake,
    log,
    dataFolder,
    send,
    get: (path: string, headers: Record<string, string> = {}) => fetch(origin + path, { headers }),
    invite,
    join: join_,
    close: async () => {
      await server.stop()
      rmSync(dataFolder, { recursive: true })
    },
  }
}
export type ApiServer = Awaited<ReturnType<typeof apiServer>>
