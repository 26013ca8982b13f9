import type { IncomingMessage } from 'node:http'
import type { Duplex } from 'node:stream'
import { WebSocketServer, type RawData, type WebSocket } from 'ws'
import * as Y from 'yjs'
import { schemaVersion } from '@/lib/board'
import type { Clock } from '@/lib/core/clock'
import type { Json } from '@/lib/core/json'
import { CLOSE } from '@/lib/sync/close-codes'
import { writeSession } from '@/lib/sync/frames'
import { formatRoomName, parseRoomName } from '@/lib/sync/room-name'
import { PROTOCOL_VERSION, type BoardVersion } from '@/lib/sync/states'
import type { Disposer, LiveSession, SessionChange, Sessions } from '../join/live-session'
import type { Store, ToldEdit } from '../storage/store'
import { addressOf } from '../http/spoken-for'
import { Budgets } from './budgets'
import { GroupCommit } from './commit'
import { addCounts, noCounts } from './edit-counts'
import { boardRules, type BoardReader, type DocKind, type GuardRules } from './guard-rules'
import { LaggingSockets } from './lagging-sockets'
import { DEFAULT_LIMITS, type Limits } from './limits'
import { NotStored } from './not-stored'
import { keepAliveFrame } from './presence'
import { Intake, type Source } from './intake'
import { costOf, receive } from './receive'
import { Room } from './room'
import { RefusalBudget } from './refusal-budget'
import { Seats } from './seats'
import type { SyncLog } from './sync-log'
import { StoredBudget } from './stored-budget'
import type { SyncCore, SyncServer, SyncServerParts, SyncStats } from './sync-surface'
import { identityOf, SyncSocket, type WebSocketLike } from './sync-socket'
import { realTimers, type Timers } from './timers'
import { admit, refusalResponse, type Admission } from './upgrade'
import { wireOf } from './wire-of'

export const createSyncServer = (parts: SyncServerParts): SyncServer => new SyncServerCore(parts)

/** How often lagging sockets are looked at, ms. */
const DRAIN_MS = 200
const KIT = 'kit'

/** All rooms of one process. */
export class SyncServerCore implements SyncCore {
  readonly #store: Store
  readonly #sessions: Sessions
  readonly #clock: Clock
  readonly #log: SyncLog
  readonly #limits: Limits
  readonly #rules: GuardRules
  readonly #timers: Timers
  readonly #commit: GroupCommit
  readonly #wss: WebSocketServer
  readonly #rooms = new Map<string, Room>()
  readonly #idleSince = new Map<string, number>()
  readonly #bySession = new Map<string, Set<{ room: Room; socket: SyncSocket }>>()
  readonly #lagging: LaggingSockets
  readonly #disposers: Disposer[] = []
  readonly #version: BoardVersion
  /** Of rooms that are unloaded. */
  readonly #past = noCounts()
  readonly #seats: Seats
  readonly #budgets: Budgets
  readonly #intake: Intake
  readonly #refusals: RefusalBudget
  readonly #stored: StoredBudget
  readonly #mayShow: () => boolean
  #closed = false

  constructor(parts: SyncServerParts) {
    this.#store = parts.store
    this.#sessions = parts.sessions
    this.#clock = parts.clock
    this.#log = parts.log
    this.#limits = { ...DEFAULT_LIMITS, ...parts.limits }
    this.#rules = parts.rules ?? boardRules
    this.#timers = parts.timers ?? realTimers
    this.#mayShow = parts.mayShow ?? (() => true)
    this.#version = {
      generation: parts.store.generation,
      protocol: PROTOCOL_VERSION,
      schema: schemaVersion(),
      build: parts.build ?? '',
    }
    this.#refusals = new RefusalBudget(this.#limits, () => this.#timers.steady())
    this.#stored = new StoredBudget(() => this.#timers.steady())
    this.#seats = new Seats(this.#limits)
    this.#lagging = new LaggingSockets(this.#limits, (room, socket) => {
      this.#close(room, socket, CLOSE.tooSlow, 'The connection is too slow.')
      socket.ws.terminate()
    })
    this.#budgets = parts.budgets ?? new Budgets(() => this.#timers.steady())
    this.#intake = new Intake(this.#budgets, this.#timers)
    this.#commit = new GroupCommit(parts.store, parts.clock, parts.log, this.#timers, parts.onCommit)
    // No compression: it costs memory per socket and time per receiver, and edits are small.
    this.#wss = new WebSocketServer({
      noServer: true,
      perMessageDeflate: false,
      maxPayload: this.#limits.messageBytes,
      clientTracking: false,
    })
    this.#disposers.push(
      parts.sessions.onChange((event) => this.#onSessionChange(event)),
      this.#timers.every(this.#limits.heartbeatMs, () => this.#heartbeat()),
      this.#timers.every(DRAIN_MS, () => this.#lagging.drain(this.#timers.steady())),
    )
  }

  handleUpgrade(req: IncomingMessage, socket: Duplex, head: Buffer): void {
    const admission = this.#closed
      ? ({ ok: false, status: 503, reason: 'closing' } as const)
      : admit(req, this.#sessions)
    if (admission.ok === false) {
      this.#log.info({ status: admission.status, reason: admission.reason }, 'a socket was turned away')
      socket.end(refusalResponse(admission.status))
      return
    }
    this.#wss.handleUpgrade(req, socket, head, (ws) => {
      ws.on('error', () => undefined) // a protocol error is followed by its close
      if (admission.ok === 'ended') return ws.close(CLOSE.revoked, 'This phone has left the crew.')
      this.#seat(ws, socket, admission, addressOf(req))
    })
  }

  #seat(
    ws: WebSocket,
    line: Duplex,
    { session, room, readsPacked }: Extract<Admission, { ok: true }>,
    address: string,
  ): void {
    const wire = wireOf(ws, line, this.#timers, this.#mayShow)
    const seat = this.connect(wire, session, formatRoomName(room), address, readsPacked)
    if (!seat) return
    ws.on('message', (data: RawData) => {
      if (!this.#mayShow()) ws.terminate()
      else if (data instanceof Buffer) seat.message(data)
    })
    ws.on('pong', seat.pong)
    ws.on('close', seat.closed)
  }

  connect(
    ws: WebSocketLike,
    session: LiveSession,
    roomName: string,
    address?: string,
    readsPacked = false,
  ): ReturnType<SyncCore['connect']> {
    let room: Room
    try {
      // Who is there decides which meetings there are, and what is under way may fail.
      if (!this.#rooms.has(roomName)) this.#commit.drain()
      if (!this.#mayOpen(roomName)) {
        ws.close(CLOSE.noMeeting, 'The board has no such meeting (yet).')
        return null
      }
      room = this.#room(roomName)
      const full = this.#seats.take(session)
      if (full !== null) {
        ws.close(CLOSE.tooMany, full)
        return null
      }
    } catch (e) {
      this.#log.error({ err: e, room: roomName }, 'a room could not be loaded')
      ws.close(1011, 'The board can’t be read.')
      return null
    }
    const socket = new SyncSocket(ws, session, this.#limits, this.#timers)
    socket.readsPacked = readsPacked
    const mine = this.#bySession.get(session.sessionId) ?? new Set()
    const entry = { room, socket }
    this.#bySession.set(session.sessionId, mine.add(entry))
    this.#touch(session.sessionId)
    const source: Source = {
      get session() {
        return socket.session
      },
      address,
      get isOpen() {
        return socket.isOpen
      },
      get isBehind() {
        return socket.isBehind
      },
      take: (message) => receive(room, socket, message, this.#clock),
      costOf: (message) => costOf(room, message),
      pause: () => ws.pause(),
      resume: () => ws.resume(),
    }
    socket.spend = (ms) => this.#budgets.charge(source, ms)
    socket.isHeldBack = () => this.#intake.isWaiting(source)
    let gone = false
    const leave = () => {
      if (gone) return
      gone = true
      this.#seats.leave(session)
      mine.delete(entry)
      if (mine.size === 0 && this.#bySession.get(session.sessionId) === mine)
        this.#bySession.delete(session.sessionId)
      this.#lagging.forget(socket)
      this.#intake.forget(source)
      room.remove(socket)
    }
    room.add(socket)
    return {
      message: (data) => {
        if (socket.isOpen) this.#intake.arrive(source, data)
      },
      pong: () => void (socket.silentTicks = 0),
      closed: leave,
    }
  }

  /** [S24] Rooms come from meetings that the kit knows, or that something is stored for; others leave no trace. */
  #mayOpen(roomName: string): boolean {
    const { isMeeting } = this.#rules
    const room = parseRoomName(roomName)
    if (room?.kind !== 'meeting' || !isMeeting || this.#rooms.has(roomName)) return true
    this.#room(KIT)
    return isMeeting(this.#reader(roomName), room.meetingId) || this.#store.rooms().includes(roomName)
  }

  editAsServer(
    roomName: string,
    edit: (doc: Y.Doc) => void,
    alongside?: () => void,
    told?: ToldEdit,
  ): Promise<void> {
    return new Promise((resolve, reject) => {
      if (this.#closed) return reject(new Error('The sync is closed'))
      if (this.#commit.readOnly !== null) return reject(new NotStored(this.#commit.readOnly))
      this.#room(nameOf(roomName)).enqueue({ kind: 'edit', edit, alongside, told, resolve, reject })
    })
  }

  readRoom<T>(roomName: string, read: (doc: Y.Doc) => T): Promise<T> {
    return new Promise((resolve) => {
      const name = nameOf(roomName)
      this.#commit.drain()
      // Whoever only looks makes no room: calendars ask for any meeting.
      if (this.#mayOpen(name)) resolve(read(this.#room(name).board.doc))
      else resolve(read(new Y.Doc()))
    })
  }

  stats(): SyncStats {
    const sum = { ...this.#past }
    for (const { counts } of this.#rooms.values()) addCounts(sum, counts)
    const { framesRefused, ...edits } = sum
    return {
      rooms: this.#rooms.size,
      sockets: this.#seats.taken,
      readOnly: this.#commit.readOnly,
      turns: this.#commit.turns,
      failedCommits: this.#commit.failures,
      edits,
      framesRefused,
    }
  }

  /** What has arrived is stored and acknowledged, then every socket is told to come back later. */
  close(): Promise<void> {
    if (this.#closed) return Promise.resolve()
    this.#commit.finish()
    this.#closed = true
    for (const dispose of this.#disposers.splice(0)) dispose()
    for (const room of this.#rooms.values()) {
      for (const s of [...room.sockets]) this.#close(room, s, CLOSE.shutdown, 'The server is closing.')
      room.unload()
    }
    this.#rooms.clear()
    this.#intake.close()
    this.#commit.close()
    return new Promise((resolve) => this.#wss.close(() => resolve()))
  }

  /** The room, loaded when need be; with any meeting comes the kit, which its policy looks things up in [S14]. */
  #room(name: string): Room {
    const loaded = this.#rooms.get(name)
    if (loaded && !loaded.isBroken) return loaded
    if (name !== KIT) this.#room(KIT)
    const kind: DocKind = name === KIT ? 'kit' : 'meeting'
    const parts = {
      room: name,
      kind,
      rules: this.#rules,
      clock: this.#clock,
      limits: this.#limits,
      refusals: this.#refusals,
      stored: this.#stored,
      steady: () => this.#timers.steady(),
    }
    const room: Room = new Room({
      room: name,
      store: this.#store,
      commit: this.#commit,
      judging: { ...parts, reader: this.#reader(name) },
      limits: this.#limits,
      log: this.#log,
      version: this.#version,
      collections: this.#rules.collections(kind),
      offend: (socket) => this.#offend(room, socket),
      close: (socket, code, reason) => this.#close(room, socket, code, reason),
      lag: (socket) => this.#lagging.add(room, socket),
      steady: () => this.#timers.steady(),
      later: (ms, run) => void this.#timers.after(ms, run),
    })
    loaded?.unload()
    this.#rooms.set(name, room)
    return room
  }

  #reader(meeting: string): BoardReader {
    return {
      field: (doc, collection, recordId, field): Json | undefined =>
        this.#rooms.get(doc === 'kit' ? KIT : meeting)?.board.read(collection, `${recordId}:${field}`),
      ids: (doc, collection) =>
        this.#rooms.get(doc === 'kit' ? KIT : meeting)?.board.ids(collection, this.#rules.parseKey) ?? [],
    }
  }

  /** [S11] */
  #onSessionChange({ sessionId, session }: SessionChange): void {
    for (const { room, socket } of [...(this.#bySession.get(sessionId) ?? [])]) {
      if (!session) {
        const reason = 'This phone was removed from the crew.'
        socket.control(writeSession({ state: 'revoked', reason }))
        this.#close(room, socket, CLOSE.revoked, reason)
        continue
      }
      socket.session = session
      socket.control(writeSession({ state: 'active', ...identityOf(socket), board: this.#version }))
    }
  }

  #offend(room: Room, socket: SyncSocket): boolean {
    if (socket.offences.add(this.#timers.steady()) < this.#limits.offences) return true
    this.#log.warn(
      { room: room.room, personId: socket.session.personId },
      'a socket was closed for refused frames',
    )
    this.#close(room, socket, CLOSE.offender, 'Too many messages were refused. Reload the page.')
    return false
  }

  #close(room: Room, socket: SyncSocket, code: number, reason: string): void {
    room.remove(socket)
    socket.ws.close(code, reason)
  }

  #heartbeat(): void {
    for (const entries of [...this.#bySession.values()]) {
      for (const { room, socket } of [...entries]) {
        // A phone that is not read can't be heard.
        if (socket.isHeldBack()) socket.silentTicks = 0
        if (++socket.silentTicks > 3) {
          room.remove(socket)
          socket.ws.terminate()
          continue
        }
        if (socket.silentTicks === 1) this.#touch(socket.session.sessionId)
        if (socket.isOpen && !socket.spokenTo) socket.control(keepAliveFrame)
        socket.spokenTo = false
        socket.ws.ping()
      }
    }
    const now = this.#timers.steady()
    for (const room of [...this.#rooms.values()]) this.#unloadIfIdle(room, now)
  }

  /** [S14] Only a room without sockets and without unfinished work; the kit goes last. */
  #unloadIfIdle(room: Room, now: number): void {
    const { room: name } = room
    const needed = name === KIT && this.#rooms.size > 1
    if (!room.isIdle || needed) return void this.#idleSince.delete(name)
    const since = this.#idleSince.get(name)
    if (since === undefined) return void this.#idleSince.set(name, now)
    if (now - since < this.#limits.idleUnloadMs) return
    room.compact()
    room.unload()
    // [P1] Whoever has the kit serves the board, also while nobody looks at it.
    if (name !== KIT) this.#store.release(name)
    this.#rooms.delete(name)
    this.#idleSince.delete(name)
    addCounts(this.#past, room.counts)
  }

  #touch(sessionId: string): void {
    try {
      this.#sessions.touch(sessionId)
    } catch (e) {
      this.#log.warn({ err: e }, 'a device’s last visit could not be noted')
    }
  }
}

function nameOf(text: string): string {
  const room = parseRoomName(text)
  if (!room) throw new Error(`There can be no room “${text}”`)
  return formatRoomName(room)
}
