import * as decoding from 'lib0/decoding'
import * as encoding from 'lib0/encoding'
import * as syncProtocol from 'y-protocols/sync'
import * as Y from 'yjs'
import type { Json } from '@/lib/core/json'
import type { Role } from '@/lib/core/role'
import {
  FRAME,
  readBarrier,
  readClock,
  readRejection,
  readRoomState,
  readSession,
  writeBarrier,
  writeGeneration,
  type Barrier,
} from '@/lib/sync/frames'
import type { Rejection, RoomState, SessionState } from '@/lib/sync/states'
import type { LiveSession } from '@/server/join/live-session'
import { MemoryStore } from '@/server/storage/memory-store'
import type { Store } from '@/server/storage/store'
import { Budgets } from '@/server/sync/budgets'
import type { GuardRules } from '@/server/sync/guard-rules'
import type { Limits } from '@/server/sync/limits'
import type { WebSocketLike } from '@/server/sync/sync-socket'
import { SyncServerCore } from '@/server/sync/sync-server'
import { HandSessions } from './hand-sessions'
import { HandTimers } from './hand-timers'
import { smallRules } from './small-rules'

export interface DeskOptions {
  store?: Store
  limits?: Partial<Limits>
  rules?: GuardRules
}

/** A sync server without a network: phones hand frames over by method call, turns end when the test says so. */
export function syncDesk(options: DeskOptions = {}) {
  const store = options.store ?? new MemoryStore()
  const timers = new HandTimers()
  const sessions = new HandSessions()
  const clock = { ms: Date.UTC(2031, 4, 3, 9), now: () => clock.ms }
  const logged: { level: string; message: string; fields: object }[] = []
  const logger = (level: string) => (fields: object, message: string) =>
    void logged.push({ level, message, fields })
  const log = { info: logger('info'), warn: logger('warn'), error: logger('error') }
  const budgets = new Budgets(() => timers.steady())
  const parts = {
    store,
    sessions,
    clock,
    log,
    timers,
    budgets,
    rules: options.rules ?? smallRules,
    // Their phones take what is put back; none of them starts anew.
    limits: { refusedBytesPerHour: 1e9, ...options.limits },
  }
  const start = () => new SyncServerCore(parts)
  const desk = {
    server: start(),
    store,
    timers,
    budgets,
    sessions,
    clock,
    logged,
    endTurn: () => timers.endTurn(),
    /** End the turn, and wait for what is then under way to the disk. */
    land: () => {
      timers.endTurn()
      void desk.server.readRoom('meeting-m1', () => undefined)
      timers.endTurn()
    },
    /** As if the process had been killed: what is not in the store is gone. */
    restart: () => (desk.server = start()),
    phone: (
      role: Role,
      personId: string = role,
      room = 'meeting-m1',
      doc = new Y.Doc(),
      says: string | null = null,
    ) => new Phone(desk, role, personId, room, doc, says),
    history: (room = 'meeting-m1') => store.history({ room, limit: 500 }).reverse(),
  }
  return desk
}
export type Desk = ReturnType<typeof syncDesk>

let sessionCount = 0

/** A phone that speaks the stock protocol over a wire the test holds in its hand. */
export class Phone {
  readonly session: LiveSession
  readonly acks: Barrier[] = []
  readonly rejections: Rejection[] = []
  readonly roomStates: RoomState[] = []
  readonly sessionStates: SessionState[] = []
  readonly clocks: { clientMs: number; serverMs: number | null }[] = []
  readonly presence: Map<number, unknown> = new Map()
  /** Types of the frames received, sync ones as `sync0`, `sync1`, `sync2`. */
  readonly frames: string[] = []
  readonly updates: Uint8Array[] = []
  resyncs = 0
  closedWith: { code: number; reason: string } | null = null
  terminated = false
  paused = false
  pings = 0
  /** Bytes that the network has refused; raise it to play a slow phone. */
  buffered = 0
  /** False: frames are dropped unread, as on a line that hangs. */
  reading = true
  /** False: the server's question stays unanswered. */
  answering = true
  /** Whether edits go out as they are made. */
  online = true
  #seat: ReturnType<SyncServerCore['connect']> = null
  #barriers = 0
  #line = {}

  constructor(
    readonly desk: Desk,
    role: Role,
    personId: string,
    readonly room: string,
    readonly doc: Y.Doc,
    /** [S23] The generation it says that it holds; null says nothing, as the stock client does. */
    public says: string | null,
  ) {
    const n = ++sessionCount
    this.session = { sessionId: `s${n}`, personId, name: personId, role, deviceId: `d${n}` }
    doc.on('update', (update: Uint8Array, origin: unknown) => {
      if (origin !== this && this.online && this.#seat) this.sendUpdate(update)
    })
    this.connect()
  }

  connect() {
    this.online = true
    this.closedWith = null
    const buffered = () => this.buffered
    const line = (this.#line = {})
    const send = (data: Uint8Array) => {
      if (this.#line !== line) return
      if (this.closedWith) throw new Error('sent to a closed socket')
      if (this.reading) this.#receive(data)
    }
    const ws: WebSocketLike = {
      send,
      broadcast: (message) => send(message.payload),
      close: (code, reason) => {
        if (this.#line !== line || this.closedWith) return
        this.closedWith = { code, reason }
        this.#seat?.closed()
        this.#seat = null
      },
      terminate: () => {
        this.terminated = true
        this.#seat?.closed()
        this.#seat = null
      },
      ping: () => {
        this.pings++
        if (this.reading) this.#seat?.pong()
      },
      pause: () => void (this.paused = true),
      resume: () => void (this.paused = false),
      get bufferedAmount() {
        return buffered()
      },
    }
    this.#queue.length = 0
    this.#seat?.closed()
    this.#seat = null
    this.#seat = this.desk.server.connect(ws, this.session, this.room)
    if (this.says !== null) this.send(writeGeneration(this.says))
    this.send(frame(FRAME.sync, (e) => syncProtocol.writeSyncStep1(e, this.doc)))
    this.#replay()
    this.desk.endTurn()
    return this
  }

  readonly #queue: Uint8Array[] = []
  #receive(data: Uint8Array) {
    // What comes during the handshake is read when the socket is known.
    if (this.#seat) this.#read(data)
    else this.#queue.push(data)
  }
  #replay() {
    for (const data of this.#queue.splice(0)) this.#read(data)
  }

  disconnect() {
    this.online = false
    this.#seat?.closed()
    this.#seat = null
    this.desk.endTurn()
  }

  /** The line breaks without the server's hearing of it: what was sent arrives, what comes back does not. */
  breakLine() {
    this.#line = {}
    this.#seat = null
  }

  send(data: Uint8Array) {
    this.#seat?.message(data)
  }
  sendUpdate(update: Uint8Array) {
    this.send(frame(FRAME.sync, (e) => syncProtocol.writeUpdate(e, update)))
  }
  /** [S8] "Everything I sent before this." */
  barrier() {
    const n = ++this.#barriers
    this.send(writeBarrier({ epoch: 1, n }))
    return n
  }
  get acked() {
    return Math.max(0, ...this.acks.map((a) => a.n))
  }

  set(collection: string, key: string, value: Json | object | undefined) {
    this.doc.getMap(collection).set(key, value)
    return this
  }
  get(collection: string, key: string) {
    return this.doc.getMap(collection).get(key)
  }
  board() {
    return boardOf(this.doc)
  }

  #read(data: Uint8Array) {
    const d = decoding.createDecoder(data)
    const type = decoding.readVarUint(d)
    switch (type) {
      case FRAME.sync: {
        this.frames.push(`sync${decoding.peekVarUint(d)}`)
        if (decoding.peekVarUint(d) === 2) this.updates.push(data)
        const e = encoding.createEncoder()
        encoding.writeVarUint(e, FRAME.sync)
        syncProtocol.readSyncMessage(d, e, this.doc, this, (err) => {
          throw err
        })
        if (encoding.length(e) > 1 && this.answering) this.send(encoding.toUint8Array(e))
        return
      }
      case FRAME.awareness: {
        this.frames.push('awareness')
        const body = decoding.createDecoder(decoding.readVarUint8Array(d))
        for (let n = decoding.readVarUint(body); n > 0; n--) {
          const client = decoding.readVarUint(body)
          decoding.readVarUint(body)
          this.presence.set(client, JSON.parse(decoding.readVarString(body)))
        }
        return
      }
      case FRAME.barrier:
        return void this.acks.push(readBarrier(d))
      case FRAME.rejection:
        return void this.rejections.push(readRejection(d))
      case FRAME.roomState:
        return void this.roomStates.push(readRoomState(d))
      case FRAME.session:
        return void this.sessionStates.push(readSession(d))
      case FRAME.clock:
        return void this.clocks.push(readClock(d))
      case FRAME.resync:
        this.frames.push('resync')
        this.resyncs++
        return
      default:
        throw new Error(`unknown frame ${type}`)
    }
  }
}

export function frame(type: number, write: (e: encoding.Encoder) => void): Uint8Array {
  const e = encoding.createEncoder()
  encoding.writeVarUint(e, type)
  write(e)
  return encoding.toUint8Array(e)
}

/** Every non-empty root map as plain JSON with sorted keys. */
export function boardOf(doc: Y.Doc): Record<string, Record<string, unknown>> {
  const out: Record<string, Record<string, unknown>> = {}
  for (const name of [...doc.share.keys()].sort()) {
    if (doc.share.get(name) instanceof Y.Array) continue
    const map = doc.getMap(name)
    if (map.size > 0) out[name] = Object.fromEntries([...map.entries()].sort(([a], [b]) => (a < b ? -1 : 1)))
  }
  return out
}

/** What a client would load from the store alone. */
export function storedBoard(store: Pick<Store, 'load'>, room = 'meeting-m1') {
  const doc = new Y.Doc()
  const { snapshot, updates } = store.load(room)
  if (snapshot) Y.applyUpdateV2(doc, snapshot)
  for (const u of updates) Y.applyUpdate(doc, u)
  return boardOf(doc)
}

/** An update by a client of its own, from nothing. */
export const updateOf = (edit: (doc: Y.Doc) => void, clientID?: number) => {
  const doc = new Y.Doc()
  if (clientID !== undefined) doc.clientID = clientID
  edit(doc)
  return Y.encodeStateAsUpdate(doc)
}
