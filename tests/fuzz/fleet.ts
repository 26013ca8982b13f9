import { setTimeout as sleep } from 'node:timers/promises'
import type { Role } from '@/lib/core/role'
import { makeMeeting } from '../support/make-meeting'
import type { JoinedClient, ServerProcess } from '../support/server-process'
import { servesBoard, startPeer } from '../support/several-processes'
import { Front } from './front'
import type { FuzzedPostgres, FuzzedServer } from './fuzz-crew'
import { FuzzPhone } from './fuzz-phone'
import type { Random } from './random'

const RECONNECT_MS = 100
const LONGEST_MS = 30_000

/** Several real processes that serve one board on PostgreSQL behind one address, and a phone that watches how long nobody answers. */
export class Fleet implements FuzzedServer {
  /** How long after each fault the phone's next edit was acknowledged, ms. */
  readonly failovers: { how: 'killed' | 'paused'; ms: number }[] = []
  #watch: FuzzPhone | null = null
  #mending: Promise<void> = Promise.resolve()

  private constructor(
    readonly servers: readonly ServerProcess[],
    readonly front: Front,
  ) {}

  static async start(postgres: FuzzedPostgres, processes: number): Promise<Fleet> {
    const servers: ServerProcess[] = []
    for (let n = 0; n < processes; n++)
      servers.push(await startPeer(postgres.address, { STAGECALL_LOG: 'warn' }))
    return new Fleet(servers, await Front.start(servers.map((s) => s.port)))
  }

  get port(): number {
    return this.front.port
  }
  get running(): boolean {
    return this.servers.some((s) => s.running)
  }
  get output(): string {
    return this.servers.map((s) => s.output).join('\n')
  }
  peakBytes(): number {
    return Math.max(...this.servers.map((s) => (s.running ? s.peakBytes() : 0)))
  }
  invite(role: Role) {
    return this.#anyone().invite(role)
  }
  join(role: Role, who: { name: string }): Promise<JoinedClient> {
    return this.#anyone().join(role, who)
  }

  async watch(): Promise<void> {
    const { cookie } = await this.join('manager', { name: 'Watch' })
    await makeMeeting(this.port, cookie, 'watched')
    this.#watch = new FuzzPhone('watch', cookie, `ws://127.0.0.1:${this.port}/sync/meeting-watched`)
    await this.#acknowledged(this.#watch)
  }
  get watched(): FuzzPhone | null {
    return this.#watch
  }

  /** The process that judges the board is killed or paused; it comes back some time later. Resolves when the board is served again. */
  async strike(r: Random): Promise<void> {
    await this.#mending
    const judge = await this.#judge()
    const how = r.chance(0.5) ? 'killed' : 'paused'
    const away = 1_200 + r.below(2_500)
    const watch = this.#watch
    const at = performance.now()
    if (how === 'killed') {
      const gone = judge.kill9()
      this.#mending = gone.then(() => sleep(away)).then(() => judge.restart())
    } else {
      process.kill(judge.pid, 'SIGSTOP')
      this.#mending = sleep(away).then(() => void process.kill(judge.pid, 'SIGCONT'))
    }
    if (watch) await this.#acknowledged(watch)
    this.failovers.push({ how, ms: performance.now() - at })
  }

  async dispose(): Promise<void> {
    await this.#mending.catch(() => undefined)
    this.#watch?.destroy()
    this.front.close()
    await Promise.all(this.servers.map((s) => s.dispose()))
  }
  restart(): Promise<void> {
    return this.#mending
  }

  /** An edit made now is acknowledged, over as many lines as it takes; a phone tries again after a moment, as the stock client does. */
  async #acknowledged(phone: FuzzPhone): Promise<void> {
    phone.editOwn(0)
    const before = phone.acknowledged
    let triedAt = performance.now()
    for (const start = triedAt; performance.now() - start < LONGEST_MS; await sleep(5)) {
      if (!phone.connected && performance.now() - triedAt > RECONNECT_MS) {
        triedAt = performance.now()
        phone.connect()
      }
      if (phone.unanswered === 0) phone.askBarrier()
      if (phone.acknowledged > before) return
    }
    throw new Error(`nobody acknowledged an edit within ${LONGEST_MS / 1000} s: ${phone.describe()}`)
  }

  async #judge(): Promise<ServerProcess> {
    for (let tries = 0; tries < 400; tries++) {
      for (const server of this.servers)
        if (server.running && (await servesBoard(server).catch(() => false))) return server
      await sleep(25)
    }
    throw new Error('no process serves the board')
  }
  #anyone(): ServerProcess {
    const server = this.servers.find((s) => s.running)
    if (!server) throw new Error('no process runs')
    return server
  }
}
