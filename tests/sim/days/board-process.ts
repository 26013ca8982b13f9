import type { IncomingMessage } from 'node:http'
import { writeField } from '@/lib/board'
import type { SqliteClient } from '@/drizzle/client'
import type { Role } from '@/lib/core/role'
import type { LiveSession } from '@/server/join/live-session'
import { SqliteStore } from '@/server/storage/sqlite-store'
import type { Store } from '@/server/storage/store'
import type { Limits } from '@/server/sync/limits'
import { NotStored } from '@/server/sync/not-stored'
import { createSyncServer } from '@/server/sync/sync-server'
import type { SyncServer } from '@/server/sync/sync-surface'
import { HandSessions } from '@/tests/unit/sync/hand-sessions'
import type { Ledger } from './ledger'
import type { SimulatedDisk } from './simulated-disk'
import { StreamEnd, type SimulatedLine } from './simulated-line'
import { Actor, type SimulatedTime } from './simulated-time'
import { MEETING } from './values'

/** What a day's processes have in common. */
export interface ProcessWorld {
  readonly time: SimulatedTime
  readonly ledger: Ledger
  readonly limits: Partial<Limits>
  readonly sessions: ReadonlyMap<string, LiveSession>
}

/** Somewhere a phone's call ends up. */
export interface BoardPlace {
  readonly isUp: boolean
  readonly actor: Actor
  accept(request: IncomingMessage, line: SimulatedLine): void
}

export const cookieOf = (session: LiveSession): string => `stagecall_session=${session.sessionId}`

export const sessionOf = (personId: string, role: Role): LiveSession => ({
  sessionId: `session-${personId}`,
  personId,
  name: personId,
  role,
  deviceId: `device-${personId}`,
})

export const upgradeRequest = (url: string, cookie: string): IncomingMessage =>
  ({
    method: 'GET',
    url: new URL(url).pathname,
    headers: {
      host: new URL(url).host,
      connection: 'Upgrade',
      upgrade: 'websocket',
      'sec-websocket-version': '13',
      'sec-websocket-key': 'AAAAAAAAAAAAAAAAAAAAAA==',
      cookie,
    },
    socket: { remoteAddress: '192.0.2.7' },
  }) as unknown as IncomingMessage

/** Sessions of sockets that came over another process. */
export const relayedSessions = new WeakSet<LiveSession>()

/** The sync server as a process starts it, over any store. */
export function startCore(
  world: ProcessWorld,
  store: Store,
  actor: Actor,
  mayShow: (() => boolean) | undefined,
  /** Who a phone is stands in the same database: throws where that is away. */
  mustBeUp: () => void,
): SyncServer {
  const { time, ledger, limits } = world
  const sessions = new HandSessions()
  for (const [id, session] of world.sessions) {
    sessions.byCookie.set(id, session)
    const passedOn = { ...session }
    relayedSessions.add(passedOn)
    sessions.byCookie.set(`${id}-passed-on`, passedOn)
  }
  const find = sessions.findByCookie.bind(sessions)
  sessions.findByCookie = (cookie) => {
    mustBeUp()
    return find(cookie)
  }
  const say = (level: string) => (_fields: object, message: string) => {
    ledger.trace(`${actor.name} ${level}: ${message}`)
    if (message.startsWith('an update broke the guard')) ledger.violate(message)
  }
  const core = createSyncServer({
    store,
    sessions,
    clock: { now: () => Math.floor(time.now) },
    log: { info: say('info'), warn: say('warn'), error: say('error') },
    limits,
    ...(mayShow && { mayShow }),
  })
  return core
}

/** The day's meeting is on the board before anybody opens it; tried again where it can't be stored yet. */
export function seedBoard(core: SyncServer, actor: Actor): void {
  core
    .editAsServer('kit', (doc) => {
      if (doc.getMap('meetings').size === 0) writeField(doc, 'meetings', MEETING, 'name', 'The day')
    })
    .catch((e: unknown) => {
      if (e instanceof NotStored) actor.soon(() => seedBoard(core, actor), 700)
    })
}

/** The usual server: one process, one disk. */
export class BoardProcess implements BoardPlace {
  actor: Actor
  #core: SyncServer | null = null
  #client: SqliteClient | null = null
  readonly #lines = new Set<SimulatedLine>()
  starts = 0

  constructor(
    readonly world: ProcessWorld,
    readonly disk: SimulatedDisk,
  ) {
    this.actor = new Actor(world.time, 'board 0')
  }

  get isUp(): boolean {
    return this.#core !== null
  }

  start(): void {
    if (this.#core) return
    const actor = (this.actor = new Actor(this.world.time, `board ${++this.starts}`))
    actor.soon(() => {
      const client = (this.#client = this.disk.open(() => this.crash(true)))
      const core = startCore(this.world, new SqliteStore(client), actor, undefined, () => undefined)
      this.#core = core
      seedBoard(core, actor)
    })
  }

  /** Gone in the middle of whatever it did. `cut`: its machine says so to the others; else lines stay open and silent. */
  crash(cut: boolean): void {
    this.world.ledger.trace(`${this.actor.name} crashes`)
    this.actor.isDead = true
    this.#core = null
    this.#client?.connection.close()
    this.#client = null
    for (const line of this.#lines) {
      if (cut) line.cut()
      else line.die(1)
    }
    this.#lines.clear()
  }

  /** As a service manager stops it. */
  stop(): void {
    const [core, client] = [this.#core, this.#client]
    if (!core) return
    this.#core = null
    void core.close().then(() => client?.close())
  }

  accept(request: IncomingMessage, line: SimulatedLine): void {
    const end = new StreamEnd(this.actor, line, 1)
    if (!this.#core) return void end.destroy()
    this.#lines.add(line)
    this.#core.handleUpgrade(request, end, Buffer.alloc(0))
  }
}
