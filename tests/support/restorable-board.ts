import { createServer, type Server } from 'node:http'
import type { AddressInfo, Socket } from 'node:net'
import { emptyBatch } from '@/server/storage/store'
import { MemoryStore } from '@/server/storage/memory-store'
import { createSyncServer } from '@/server/sync/sync-server'
import type { SyncServer } from '@/server/sync/sync-surface'
import type { Role } from '@/lib/core/role'
import { TestPhone } from './test-phone'
import { HandSessions } from '../unit/sync/hand-sessions'

const quiet = { info: () => undefined, warn: () => undefined, error: () => undefined }
let joined = 0

/** The sync server over real sockets on one port, whose board can be put back to an earlier one, and the browser's own code as its phones. */
export class RestorableBoard {
  readonly sessions = new HandSessions()
  store = new MemoryStore(undefined, 'generation-1')
  #generation = 1
  #sync: SyncServer | null = null
  #http: Server | null = null
  readonly #lines = new Set<Socket>()
  #port = 0

  async open(): Promise<void> {
    const sync = createSyncServer({
      store: this.store,
      sessions: this.sessions,
      clock: { now: () => Date.now() },
      log: quiet,
    })
    const http = createServer()
    http.on('connection', (line) => {
      this.#lines.add(line)
      line.on('close', () => this.#lines.delete(line))
    })
    http.on('upgrade', (req, socket, head) => sync.handleUpgrade(req, socket, head))
    await new Promise<void>((resolve) => http.listen(this.#port, '127.0.0.1', resolve))
    this.#port = (http.address() as AddressInfo).port
    this.#sync = sync
    this.#http = http
  }

  async shut(): Promise<void> {
    await this.#sync?.close()
    for (const line of this.#lines) line.destroy()
    await new Promise<void>((resolve) => (this.#http ? this.#http.close(() => resolve()) : resolve()))
    this.#sync = this.#http = null
  }

  /** What the board holds now, as a backup. */
  backup(): MemoryStore {
    const copy = new MemoryStore(undefined, 'backup')
    copyRooms(this.store, copy)
    return copy
  }

  /** Put a backup in the board's place; the server must be shut. */
  restore(backup: MemoryStore): void {
    this.store = new MemoryStore(undefined, `generation-${++this.#generation}`)
    copyRooms(backup, this.store)
  }

  /** A device of somebody's who has joined. */
  phone(personId: string, role: Role): TestPhone {
    const token = `session-${++joined}`
    const session = { personId, name: personId, role, deviceId: `device-${joined}` }
    this.sessions.byCookie.set(token, { sessionId: token, ...session })
    return new TestPhone({
      url: () => this.url,
      cookie: `stagecall_session=${token}`,
      askSession: () => Promise.resolve({ reached: true, session }),
    })
  }
  get url(): string {
    return `ws://127.0.0.1:${this.#port}/sync`
  }
}

function copyRooms(from: MemoryStore, to: MemoryStore): void {
  for (const room of from.rooms()) {
    const { snapshot, updates, authors } = from.load(room)
    if (snapshot) throw new Error('The board was compacted')
    to.commit({
      ...emptyBatch(),
      updates: updates.map((update) => ({ room, update, at: 1 })),
      authors: [...authors].map(([clientId, personId]) => ({ room, clientId, personId })),
    })
  }
}
