import { createServer, type Server } from 'node:http'
import type { AddressInfo, Socket } from 'node:net'
import WebSocket from 'ws'
import { WebsocketProvider } from 'y-websocket'
import { emptyBatch } from '@/server/storage/store'
import { MemoryStore } from '@/server/storage/memory-store'
import { createSyncServer, type SyncServer } from '@/server/sync/sync-server'
import { IdbStore } from '@/app/sync/idb-store'
import type { RoomProvider } from '@/app/sync/room-provider'
import { SyncClient } from '@/app/sync/sync-client'
import type { Role } from '@/lib/core/role'
import { HandSessions } from '../unit/sync/sync-desk'

const quiet = { info: () => undefined, warn: () => undefined, error: () => undefined }
let databases = 0

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

  phone(personId: string, role: Role): TestPhone {
    return new TestPhone(this, personId, role)
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

/** One device: its store outlives its pages. */
export class TestPhone {
  readonly database = `phone-${++databases}`
  readonly session
  #pages: SyncClient[] = []
  readonly #stores: IdbStore[] = []

  constructor(
    readonly board: RestorableBoard,
    personId: string,
    role: Role,
  ) {
    this.session = { personId, name: personId, role, deviceId: `device-${this.database}` }
    board.sessions.byCookie.set(this.database, { sessionId: this.database, ...this.session })
  }

  /** Open a page (a tab). */
  async visit(doorbell?: ConstructorParameters<typeof IdbStore>[0]): Promise<SyncClient> {
    const { board, database, session } = this
    class Line extends WebSocket {
      constructor(address: string | URL) {
        super(address, { headers: { cookie: `stagecall_session=${database}` } })
      }
    }
    const store = new IdbStore({ ...doorbell, name: database })
    this.#stores.push(store)
    const page = new SyncClient({
      store,
      createProvider: (room, doc) =>
        new WebsocketProvider(board.url, room, doc, {
          connect: false,
          disableBc: true,
          maxBackoffTime: 100,
          WebSocketPolyfill: Line as unknown as typeof globalThis.WebSocket,
        }) as unknown as RoomProvider,
      askSession: () => Promise.resolve({ reached: true, session }),
    })
    this.#pages.push(page)
    await page.start()
    return page
  }

  get page(): SyncClient {
    const page = this.#pages.at(-1)
    if (!page) throw new Error('No page is open')
    return page
  }
  /** Close all pages; what they were to write in the device's store is written. */
  async close(): Promise<void> {
    await Promise.all(this.#stores.splice(0).map((store) => store.settled()))
    for (const page of this.#pages.splice(0)) page.close()
  }
}
