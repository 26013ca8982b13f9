import type * as Y from 'yjs'
import type { BoardDocs, EditContext } from '@/lib/board'
import type { Json } from '@/lib/core/json'
import { formatRoomName } from '@/lib/sync/room-name'
import type { BoardVersion, SessionState } from '@/lib/sync/states'
import { ClientBoard } from './client-board'
import type { ActiveSession, RoomContent } from './client-store'
import { DraftBook } from './draft-book'
import { fieldWords } from './field-words'
import { LeftRooms } from './left-rooms'
import { generationOf } from './life'
import type { FieldPath } from './move-plan'
import { outdatedBy } from './outdated-by'
import { RoomClient } from './room-client'
import { RoomMoves } from './room-moves'
import { ServerClock } from './server-clock'
import type { SyncClientOptions } from './sync-options'
import type { Membership, Outdated, SessionAnswer, SyncSnapshot } from './sync-snapshot'
import { storedUnsent } from './stored-unsent'
import { takeSnapshot } from './take-snapshot'
import { unsentText } from './unsent-text'

/** ms */
const STORE_PATIENCE = 3000
const LOOK_PAUSE = 500

type Member = Pick<ActiveSession, 'deviceId' | 'personId'>
/** A role may change, a name too; another person or another device is another membership. */
const sameMember = (a: Member, b: Member): boolean => a.deviceId === b.deviceId && a.personId === b.personId

/** The browser's half of the board: one kit room, at most one meeting room on screen, and who we are. React sees it through `hooks.ts`. */
export class SyncClient {
  readonly clock: ServerClock
  readonly #o: SyncClientOptions
  #kit: RoomClient | null = null
  #meeting: RoomClient | null = null
  #boards: { kit: ClientBoard | null; meeting: ClientBoard | null } = { kit: null, meeting: null }
  #meetingId: string | null = null
  readonly #left = new LeftRooms((room) => this.#room(room))
  #membership: Membership = { state: 'starting' }
  readonly #drafts: DraftBook
  readonly #kitWaiters: ((kit: Y.Doc | null) => void)[] = []
  #snapshot: SyncSnapshot
  #closed = false
  #outdated: Outdated | null = null
  readonly #moves: RoomMoves
  #asking = false
  #isFirstAsk = false
  /** The server has confirmed in this visit that what the device stores belongs to the session it now has. */
  #confirmed = false
  #timer: ReturnType<typeof setTimeout> | null = null
  #lookedAt = -Infinity
  readonly #listeners = new Set<() => void>()

  constructor(options: SyncClientOptions) {
    this.#o = options
    this.clock = new ServerClock(options.device)
    this.#drafts = new DraftBook(options.store, () => this.#change())
    this.#snapshot = this.#take()
    this.#moves = new RoomMoves({
      store: options.store,
      createProvider: options.createProvider,
      now: () => Math.round(this.clock.now()),
      kit: () => this.#whenKitIsCurrent(),
      kitNow: () => this.#kit?.doc ?? null,
      replace: (old, seed) => this.#replace(old, seed),
      keepDrafts: (drafts) => this.#drafts.take(drafts),
      onSession: (session) => this.#hearSession(session),
    })
    options.store.onSignal(() => this.#change())
    // [S19] Who this device is was in it too.
    options.store.onReopened(() => {
      if (this.#membership.state === 'member') options.store.setSession(this.#membership.session)
    })
  }

  /** `isOwn`: what this device has is its member's for all we know, and is shown while the server is asked who we are. */
  async start(isOwn = true): Promise<void> {
    this.#isFirstAsk = true
    const asked = this.#o.askSession()
    const [known] = await Promise.all([this.#o.store.session(), this.#drafts.load()])
    if (isOwn && known && !this.#closed) await this.#open(known)
    const answer = await asked
    this.#isFirstAsk = false
    await this.#meet(answer, known)
  }

  /** This device has just joined, perhaps as somebody else: begin anew with what the server says now. */
  async restart(): Promise<void> {
    this.#closeRooms()
    this.#become({ state: 'starting' })
    await this.start(false)
  }

  /** Compare who the server says we are with who the device's store belongs to, and open or close accordingly. */
  async #meet(answer: SessionAnswer, known: ActiveSession | null): Promise<void> {
    if (this.#closed) return
    if (!answer.reached) {
      this.#askLater()
      if (!known) return this.#become({ state: 'unreachable' })
      return this.#open(known)
    }
    if (!answer.session)
      return known ? this.#revoke('This phone is no longer joined.') : this.#become({ state: 'stranger' })
    const session: ActiveSession = { state: 'active', ...answer.session }
    // Another membership, or another server at the same address: its documents must not flow into this one.
    if (known && !sameMember(known, session)) {
      this.#closeRooms()
      await this.#o.store.setAside(known)
    }
    this.#o.store.setSession(session)
    this.#confirmed = true
    await this.#open(session)
    this.#kit?.connect()
    this.#meeting?.connect()
    this.#left.connect()
  }

  /** [S18] Somebody looks again, or the network came back: every line is asked at once whether it still is one. */
  lookAgain(): void {
    if (this.#closed) return
    const now = performance.now()
    // One look has several events.
    if (now - this.#lookedAt < LOOK_PAUSE) return
    this.#lookedAt = now
    for (const room of this.#rooms) room.checkLine()
    if (!this.#confirmed) void this.#ask()
  }

  /** [S20] The page may be gone in a moment. */
  leave(): void {
    this.#o.store.leave()
  }

  #room(room: string, seed?: RoomContent): RoomClient {
    const client: RoomClient = new RoomClient({
      room,
      store: this.#o.store,
      clock: this.clock,
      createProvider: this.#o.createProvider,
      onRejection: (r) =>
        this.#drafts.add(room, r, () => (r.path ? this.#words(room, r.path, r.attempted) : undefined)),
      onSession: (s) => this.#hearSession(s),
      onVersion: (v) => this.#hearVersion(v),
      onUnfit: (unfit, why) => void this.#moves.begin(unfit, why),
      onConnectionError: () => void this.#ask(),
      ...(seed && { seed }),
    })
    client.subscribe(() => {
      this.#change()
      this.#look()
    })
    return client
  }

  /** [S23] Whoever held the old client holds the new one from now on, in the same turn. */
  #replace(old: RoomClient, seed: RoomContent): RoomClient | null {
    if (this.#closed || old.isClosed) return null
    const next = this.#room(old.room, seed)
    const isKit = this.#kit === old
    if (isKit) {
      this.#kit = next
      this.#boards.kit?.close()
      this.#boards.kit = new ClientBoard(next, null, this.clock)
    } else if (this.#meeting === old) this.#meeting = next
    else if (!this.#left.replace(old, next)) {
      next.close()
      return null
    }
    if ((isKit || this.#meeting === next) && this.#boards.meeting && this.#kit && this.#meeting) {
      this.#boards.meeting.close()
      this.#boards.meeting = new ClientBoard(this.#kit, this.#meeting, this.clock, this.#boards.kit)
    }
    void next.load()
    if (this.#confirmed) next.connect()
    return next
  }

  #hearVersion(version: BoardVersion) {
    const outdated = outdatedBy(version, this.#o.build ?? '')
    if (outdated?.board === this.#outdated?.board) return
    this.#outdated = outdated
    this.#change()
  }

  async #open(session: ActiveSession): Promise<void> {
    if (!this.#kit) {
      const kit = this.#room('kit')
      this.#kit = kit
      await Promise.all([kit.load(), this.#left.find(this.#o.store, (room) => room === 'kit')])
      if (this.#closed || this.#kit !== kit) return
      this.#boards.kit = new ClientBoard(kit, null, this.clock)
    }
    this.#become({ state: 'member', session })
    if (this.#meetingId) await this.openMeeting(this.#meetingId)
  }

  /** Open a meeting's document beside the kit; one that was open before is closed. */
  async openMeeting(meetingId: string): Promise<void> {
    const room = formatRoomName({ kind: 'meeting', meetingId })
    if (this.#meetingId !== meetingId) this.#leaveMeeting()
    this.#meetingId = meetingId
    this.#change()
    if (!this.#kit || !this.#boards.kit || this.#membership.state !== 'member' || this.#meeting) return
    const meeting = this.#left.take(room)
    this.#meeting = meeting
    await meeting.load()
    // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- it may have been closed while we waited
    if (this.#closed || this.#meeting !== meeting || !this.#kit) return
    this.#boards.meeting = new ClientBoard(this.#kit, meeting, this.clock, this.#boards.kit)
    if (this.#confirmed) meeting.connect()
    this.#change()
  }

  /** Edit a room that perhaps no page opens; it stays open until its last edit is on the server. Null where nothing can be edited now. */
  async editIn<T>(room: string, edit: (ctx: EditContext) => T): Promise<T | null> {
    const isOpen = room === 'kit' || this.#meeting?.room === room
    const taken = isOpen ? null : this.#left.take(room)
    await taken?.load()
    const [kit, { state, ...member }] = [this.#kit, this.#membership]
    if (!kit || this.#closed || state !== 'member' || !('session' in member)) {
      taken?.close()
      return null
    }
    const meeting = taken ?? (room === 'kit' ? null : this.#meeting)
    const docs: BoardDocs = { kit: kit.doc, meeting: meeting?.doc ?? null }
    const { personId, role } = member.session
    const done = edit({ docs, actor: { personId, role }, clock: this.clock })
    if (taken) this.#left.leave(taken)
    this.#change()
    return done
  }

  /** Resolves when the device has written down every edit made so far, or can't. A storage that hangs is not waited for. */
  async stored(): Promise<void> {
    let timer: ReturnType<typeof setTimeout> | undefined
    const late = new Promise<void>((resolve) => (timer = setTimeout(resolve, STORE_PATIENCE)))
    await Promise.race([this.#o.store.settled(), late])
    clearTimeout(timer)
  }

  /** A screen lets go of its meeting; another one may have opened its own in the meantime. */
  closeMeeting(meetingId = this.#meetingId): void {
    if (this.#meetingId !== meetingId) return
    this.#leaveMeeting()
    this.#change()
  }
  #leaveMeeting() {
    const left = this.#meeting
    this.#boards.meeting?.close()
    this.#boards.meeting = null
    this.#meeting = null
    if (left) this.#left.leave(left)
    this.#meetingId = null
  }

  #closeRooms() {
    this.#moves.stop()
    this.#kitWaiters.splice(0).forEach((go) => go(null))
    this.#boards.meeting?.close()
    this.#boards.kit?.close()
    this.#meeting?.close()
    this.#kit?.close()
    this.#left.closeAll()
    this.#boards = { kit: null, meeting: null }
    this.#meeting = this.#kit = null
    this.#confirmed = false
  }

  #hearSession(session: SessionState) {
    if (this.#closed || this.#membership.state === 'revoked') return
    if (session.state === 'revoked') return this.#revoke(session.reason)
    const before = this.#membership.state === 'member' && this.#membership.session
    if (before && sameMember(before, session) && before.role === session.role && before.name === session.name)
      return
    const { board: _, ...kept } = session
    this.#o.store.setSession(kept)
    this.#become({ state: 'member', session: kept })
  }

  /** [S11] The board closes; what was never sent stays readable, and stays in the device's store until it joins anew. */
  #revoke(reason: string) {
    const finish = (unsent: string[]) => {
      this.#closeRooms()
      this.#become({ state: 'revoked', reason, unsent })
    }
    const open = this.#rooms
    open.forEach((r) => r.disconnect())
    if (open.length) return finish(this.unsent())
    // Revoked while the page was closed: what the device stores is all there is.
    void storedUnsent(this.#o.store, (room) => this.#room(room)).then((unsent) => {
      if (!this.#closed) finish(unsent)
    })
  }

  /** The socket failed: is the server gone, or are we? */
  async #ask(): Promise<void> {
    if (this.#asking || this.#closed || this.#membership.state === 'revoked') return
    this.#asking = true
    const answer = await this.#o.askSession()
    this.#asking = false
    // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- it may have been closed while we waited
    if (this.#closed) return
    const known =
      this.#membership.state === 'member' ? this.#membership.session : await this.#o.store.session()
    if (!answer.reached) return this.#confirmed ? undefined : this.#askLater()
    const same = known && answer.session && sameMember(known, answer.session)
    if (!same || !this.#confirmed) await this.#meet(answer, known)
  }

  #askLater() {
    if (this.#timer || this.#closed) return
    this.#timer = setTimeout(() => {
      this.#timer = null
      void this.#ask()
    }, this.#o.askAgainAfter ?? 3000)
  }

  /** [S23] As soon as the kit is the server's, whatever else this phone holds can be compared. */
  #look() {
    const kit = this.#kit
    if (!kit?.isCurrent || kit.life === null) return
    this.#kitWaiters.splice(0).forEach((go) => go(kit.doc))
    const open = this.#rooms.filter((room) => room !== kit)
    void this.#moves.look(generationOf(kit.life), open).then(async (hasMoved) => {
      if (!hasMoved || this.#closed || this.#kit === null) return
      await this.#left.find(this.#o.store, (name) => this.#rooms.some((r) => r.room === name))
      this.#change()
    })
  }
  #whenKitIsCurrent(): Promise<Y.Doc | null> {
    if (this.#kit?.isCurrent) return Promise.resolve(this.#kit.doc)
    return new Promise((resolve) => this.#kitWaiters.push(resolve))
  }

  dismissDraft(id: string): void {
    this.#drafts.dismiss(id)
  }

  #words(room: string, path: FieldPath, value: Json | null): string {
    const doc = this.#rooms.find((r) => r.room === room)?.doc
    return fieldWords({ room, doc: doc ?? null, kit: this.#kit?.doc ?? null }, path, value ?? undefined)
  }

  #become(membership: Membership) {
    this.#membership = membership
    this.#change()
  }

  /** All that are open, on screen or not. */
  get #rooms(): RoomClient[] {
    return [this.#kit, this.#meeting, ...this.#left.all].filter((r) => r !== null)
  }
  /** What is only on this phone, in words. */
  unsent(): string[] {
    return this.#rooms.flatMap((r) => unsentText(r, this.#kit?.doc ?? null))
  }

  #take(): SyncSnapshot {
    return takeSnapshot({
      membership: this.#membership,
      kit: this.#kit,
      meeting: this.#meeting,
      meetingId: this.#meetingId,
      rooms: this.#rooms,
      isFirstAsk: this.#isFirstAsk,
      store: this.#o.store.signal,
      drafts: this.#drafts.all,
      outdated: this.#outdated,
    })
  }
  #change() {
    if (this.#closed) return
    this.#snapshot = this.#take()
    this.#listeners.forEach((l) => l())
  }

  readonly snapshot = (): SyncSnapshot => this.#snapshot
  readonly subscribe = (listener: () => void): (() => void) => {
    this.#listeners.add(listener)
    return () => void this.#listeners.delete(listener)
  }
  get kitBoard(): ClientBoard | null {
    return this.#boards.kit
  }
  get meetingBoard(): ClientBoard | null {
    return this.#boards.meeting
  }

  close(): void {
    if (this.#timer) clearTimeout(this.#timer)
    this.#closeRooms()
    this.#closed = true
    this.#listeners.clear()
    this.#o.store.close()
  }
}
