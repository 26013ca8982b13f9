import * as Y from 'yjs'
import { CLOSE } from '@/lib/sync/close-codes'
import { writeBarrier, writeGeneration } from '@/lib/sync/frames'
import { readField } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import type { BoardVersion, Rejection, RoomState } from '@/lib/sync/states'
import { newId } from '@/lib/core/id'
import { Barriers } from './barriers'
import { baseValues } from './base-values'
import { changedKeys } from './changed-keys'
import type { RoomContent } from './client-store'
import { applyStored } from './idb-rows'
import { generationOf, type Life } from './life'
import { LineProbe } from './line-probe'
import type { HeldRoom } from './move-plan'
import { fieldKey, PendingKeys, type Mark, type Touch } from './pending-keys'
import { listenToFrames } from './room-frames'
import type { RoomClientOptions, RoomSnapshot } from './room-options'
import type { RoomProvider } from './room-provider'
import { giveUpSlowOpening } from './slow-opening'

/** So many answers in a row that build on what the server lacks: it will not get it from us. */
const MAX_GAPS = 3
/** How long a room that turned writable may leave us without a SyncStep1 before we ask for one by connecting anew. */
const STEP1_PATIENCE = 3000

/** From the device's store: already written, and not to be taken for an edit. */
export const STORE_ORIGIN = { name: 'device store' }

/** One document of the board on this device: its socket, its store, and what of it is not on the server yet. */
export class RoomClient {
  readonly doc = new Y.Doc()
  readonly room: string
  readonly #o: RoomClientOptions
  readonly #tab = newId<'tab'>()
  readonly #pending = new PendingKeys()
  readonly #barriers: Barriers
  #provider: RoomProvider | null = null
  #touched = 0
  #lastRow = 0
  #life: Life | null = null
  readonly #own = new Set<number>()
  #isUnfit = false
  #isCurrent = false
  /** Of the transaction whose update comes next. */
  #bases: Map<string, Json | undefined> = new Map()
  /** Answers refused on this socket because edits they build on are missing. */
  #gaps = 0
  /** Fields refused on this socket. */
  readonly #refused = new Set<string>()
  readonly #line: LineProbe
  #snapshot: RoomSnapshot
  #loading: Promise<void> | null = null
  #isLoading = false
  #shouldConnect = false
  #closed = false
  readonly #listeners = new Set<() => void>()
  readonly #timers = new Set<ReturnType<typeof setTimeout>>()
  readonly #disposers: (() => void)[] = []

  constructor(options: RoomClientOptions) {
    this.#o = options
    this.room = options.room
    this.#line = new LineProbe({
      deviceNow: () => options.clock.deviceNow(),
      later: (ms, run) => this.#later(ms, run),
      isDead: () => this.reconnect(),
    })
    this.#barriers = new Barriers(this.#pending, (b) => this.#provider?.ws?.send(writeBarrier(b)))
    this.#snapshot = {
      room: options.room,
      connection: 'offline',
      hasContent: false,
      pending: 0,
      roomState: { state: 'writable' },
      isUnknown: false,
    }
    this.#own.add(this.doc.clientID)
    if (options.seed) this.#take(options.seed)
    this.doc.on('afterTransaction', this.#onTransaction)
    this.doc.on('update', this.#onUpdate)
  }

  /** Load what the device has. The socket comes afterwards, so that loaded content is offered to the server by SyncStep1 and never re-sent. */
  load(): Promise<void> {
    return (this.#loading ??= this.#load())
  }
  async #load(): Promise<void> {
    this.#isLoading = true
    try {
      await this.#pull()
    } finally {
      this.#isLoading = false
    }
    if (this.#closed) return
    this.#disposers.push(
      this.#o.store.onRing(this.room, () => void this.#pull()),
      this.#o.store.onReopened(() => this.#storeAgain()),
    )
    this.#o.store.compact(this.room)
    if (this.#shouldConnect) this.connect()
  }

  async #pull(): Promise<void> {
    const content = await this.#o.store.read(this.room, this.#lastRow)
    if (this.#closed || this.#isUnfit) return
    if (this.#life !== null && content.life !== null && content.life !== this.#life)
      return this.#giveUp('elsewhere')
    this.#take(content)
  }

  #take({ updates, pending, life, own }: RoomContent) {
    this.#life ??= life
    for (const client of own) this.#own.add(client)
    // Before there is a socket nobody has to hear of what the store brings, and for a listener Yjs would write each update anew.
    const isQuiet = this.#provider === null
    if (isQuiet) this.doc.off('update', this.#onUpdate)
    try {
      for (const row of updates) {
        this.#lastRow = Math.max(this.#lastRow, row.id)
        // Another tab's edits may have to reach the server through this one; what came from the server need not go back.
        applyStored(this.doc, row, row.local ? STORE_ORIGIN : (this.#provider ?? STORE_ORIGIN))
      }
    } finally {
      if (isQuiet) this.doc.on('update', this.#onUpdate)
    }
    this.#pending.adopt(pending, (token) => token.startsWith(this.#tab))
    this.#barriers.request()
    this.#change({ hasContent: this.#snapshot.hasContent || updates.length > 0 })
  }

  /** Asked for while the device's store is still read it waits for that: a question with nothing known brings, and stores, the whole document again. */
  connect(): void {
    if (this.#closed) return
    this.#shouldConnect = true
    if (this.#isLoading) return
    if (!this.#provider) this.#provider = this.#listen(this.#o.createProvider(this.room, this.doc))
    this.#provider.connect()
  }

  disconnect(): void {
    this.#shouldConnect = false
    this.#provider?.disconnect()
  }

  /** A new socket, and with it a new SyncStep1. */
  reconnect(): void {
    if (!this.#shouldConnect) return
    this.#provider?.disconnect()
    this.#provider?.connect()
  }

  /**
   * [S18] Somebody looks at the screen again, or the network came back. A socket that "is open" proves nothing on a phone that slept, so it is asked; one
   * that is not there is opened at once instead of when the provider's back-off ends.
   */
  checkLine(): void {
    const p = this.#provider
    if (this.#closed || !this.#shouldConnect || !p) return
    if (!p.wsconnected) return this.reconnect()
    this.#line.look(p)
  }

  #listen(provider: RoomProvider): RoomProvider {
    const { awareness } = provider
    // [S3] Present under a number of its own: whoever knew the document's before its first edit is stored could write under it first.
    awareness.setLocalState(null)
    awareness.clientID = crypto.getRandomValues(new Uint32Array(1))[0] ?? 0
    awareness.setLocalState({})
    // Others take a state's first version for one they know already: without a second one nobody sees us before its renewal, 15 s later.
    awareness.setLocalState({})
    listenToFrames(provider, {
      mayTalk: () => !this.#isUnfit,
      step1Answered: () => this.#barriers.step1Answered(),
      barrier: (b) => {
        this.#refused.clear()
        this.#settle(this.#barriers.answered(b))
      },
      clock: (p) => {
        this.#line.heard()
        if (p.serverMs !== null) this.#o.clock.sample(p.clientMs, p.serverMs)
      },
      rejection: (r) => {
        if (this.#isUnfit) return
        // [S23] Begun anew, the edits are told or made again: the refusal is no news for anybody.
        if (r.kind === 'authorship' || r.kind === 'generation') return this.#giveUp('server')
        if (r.kind === 'anew') {
          // [S24] What was refused on its own account is kept as drafts; everything else unsent is made anew.
          this.#settle(this.#pending.drop(this.#refused))
          return this.#giveUp('server')
        }
        if (r.path) this.#noteRefused(r.path, r.attempted)
        if (r.kind === 'gap' && ++this.#gaps >= MAX_GAPS) return this.#giveUp('server')
        // A whole update was refused: answers to barriers on their way no longer cover what we sent.
        if (r.path === null) this.#barriers.disarm()
        this.#o.onRejection(r)
      },
      roomState: (s) => this.#onRoomState(s),
      session: (s) => {
        if (s.state !== 'active') return this.#o.onSession(s)
        const { board, ...session } = s
        if (this.#snapshot.isUnknown) this.#change({ isUnknown: false })
        this.#o.onSession(session)
        if (board) this.#hearVersion(board)
      },
    })
    provider.on('status', ({ status }) => {
      this.#isCurrent = false
      if (status === 'connected') {
        this.#barriers.connected()
        this.#gaps = 0
        // The provider, which does not know the number, neither tells it at the start nor keeps it when the line goes.
        awareness.setLocalState(awareness.getLocalState() ?? {})
        this.#refused.clear()
        this.#line.begin(provider)
      } else this.#barriers.disarm()
      if (status === 'connecting') giveUpSlowOpening(provider, this.#later, () => this.reconnect())
      this.#change({
        connection: status === 'connected' ? 'live' : status === 'connecting' ? 'connecting' : 'offline',
      })
    })
    provider.on('sync', (synced) => {
      if (!synced) return
      this.#isCurrent = !this.#isUnfit
      this.#change({ hasContent: true })
    })
    provider.on('connection-close', (e) => {
      if (e?.code === CLOSE.noMeeting) this.#change({ isUnknown: true })
    })
    provider.on('closed', ({ reason }) =>
      this.#o.onSession({ state: 'revoked', reason: reason || 'This phone was removed from the board.' }),
    )
    provider.on('connection-error', () => this.#o.onConnectionError())
    return provider
  }

  /** [S23] It comes first on every socket, before the server's question. */
  #hearVersion(version: BoardVersion) {
    this.#o.onVersion(version)
    if (this.#isUnfit) return
    if (this.#life === null) {
      // What an earlier version of this app stored says nothing of where it comes from, and nothing is claimed of it.
      const isKnown = [...this.doc.store.clients.keys()].every((client) => this.#own.has(client))
      this.#life = version.generation
      this.#o.store.setLife(this.room, version.generation)
      if (!isKnown) return
    }
    if (generationOf(this.#life) !== version.generation) return this.#giveUp('server')
    this.#provider?.ws?.send(writeGeneration(version.generation))
  }

  #giveUp(why: 'server' | 'elsewhere') {
    this.#isUnfit = true
    this.#barriers.disarm()
    this.#o.onUnfit(this, why)
  }

  #onRoomState(roomState: RoomState) {
    const before = this.#snapshot.roomState.state
    this.#change({ roomState })
    if (roomState.state === 'read-only') this.#barriers.disarm()
    else if (before === 'read-only')
      this.#later(STEP1_PATIENCE, () => {
        if (!this.#barriers.armed && this.#pending.size) this.reconnect()
      })
  }

  /** [S19] The device's store was lost and is open again, perhaps empty: it gets all that this page holds. */
  #storeAgain() {
    if (this.#closed || this.#isUnfit || this.doc.store.clients.size === 0) return
    // A store that is empty counts its rows anew.
    this.#lastRow = 0
    this.#o.store.append(this.room, Y.encodeStateAsUpdate(this.doc), this.#pending.all(), this.#copy)
  }

  readonly #onTransaction = (transaction: Y.Transaction) => {
    const { origin } = transaction
    const isOwn = origin !== STORE_ORIGIN && (origin !== this.#provider || this.#provider === null)
    this.#bases = isOwn ? baseValues(this.doc, transaction) : new Map()
  }

  readonly #onUpdate = (update: Uint8Array, origin: unknown, doc: Y.Doc, transaction: Y.Transaction) => {
    if (origin === STORE_ORIGIN) return
    if (origin === this.#provider && this.#provider !== null)
      return this.#o.store.append(this.room, update, [], this.#copy)
    const touches: Touch[] = changedKeys(doc, transaction).map((key) => ({
      key,
      token: `${this.#tab}:${++this.#touched}`,
      base: { was: this.#bases.get(key) },
    }))
    for (const t of touches) {
      this.#pending.touch(t)
      t.base = this.#pending.baseOf(t.key)
    }
    this.#o.store.append(this.room, update, touches, this.#copy)
    // The provider hears of the same update in this turn; the barrier leaves at its end, behind it.
    this.#barriers.request()
    this.#change({ hasContent: true })
  }

  /** A field that still holds what was refused just now. */
  #noteRefused({ collection, recordId, field }: NonNullable<Rejection['path']>, attempted: Json | null) {
    const now = readField(this.doc, collection, recordId, field) ?? null
    // A big value is not told back.
    if (attempted === null || canonicalJson(now) === canonicalJson(attempted))
      this.#refused.add(fieldKey(collection, recordId, field))
  }

  #settle(touches: Touch[]) {
    if (touches.length === 0) return
    this.#o.store.settle(this.room, touches)
    this.#change({})
  }

  readonly #later = (ms: number, run: () => void) => {
    const timer = setTimeout(() => {
      this.#timers.delete(timer)
      run()
    }, ms)
    this.#timers.add(timer)
  }

  #change(part: Partial<RoomSnapshot>) {
    if (this.#closed) return
    const next = { ...this.#snapshot, ...part, pending: this.#pending.size }
    this.#snapshot = next
    this.#listeners.forEach((l) => l())
  }

  get #copy() {
    return { life: this.#life, clientId: this.doc.clientID }
  }
  get life(): Life | null {
    return this.#life
  }
  get isClosed(): boolean {
    return this.#closed
  }
  /** It is connected, of the server's life, and has all that the server has. */
  get isCurrent(): boolean {
    return this.#isCurrent && !this.#isUnfit && !this.#closed
  }
  /** [S23] It holds something of a meeting that the server does not know (yet). */
  get isStranded(): boolean {
    return this.#snapshot.isUnknown && !this.#isUnfit && !this.#closed && this.doc.store.clients.size > 0
  }
  /** What would have to be told or made again, were this document replaced. */
  get held(): HeldRoom {
    return { doc: this.doc, pending: this.#pending.all(), own: this.#own }
  }
  /** The same of this tab's edits alone. */
  get heldHere(): HeldRoom {
    return { ...this.held, pending: this.#pending.all().filter((t) => t.token.startsWith(this.#tab)) }
  }

  get snapshot(): RoomSnapshot {
    return this.#snapshot
  }
  get awareness(): RoomProvider['awareness'] | null {
    return this.#provider?.awareness ?? null
  }
  markOf(key: string): Mark {
    return this.#pending.has(key) ? 'phone' : 'saved'
  }
  pendingKeys(): string[] {
    return this.#pending.keys()
  }

  /** Told after every change of the snapshot or of a mark. */
  subscribe(listener: () => void): () => void {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }

  close(): void {
    if (this.#closed) return
    this.#closed = true
    this.#timers.forEach(clearTimeout)
    this.#disposers.forEach((d) => d())
    this.#listeners.clear()
    this.doc.off('update', this.#onUpdate)
    this.doc.off('afterTransaction', this.#onTransaction)
    this.#provider?.destroy()
    this.doc.destroy()
  }
}
