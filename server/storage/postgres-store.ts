import type { PostgresClient } from '@/drizzle/postgres/client'
import type { Statement } from '@/drizzle/postgres/line'
import { asDatabaseError, DatabaseError } from '@/drizzle/database-error'
import { copyOfRoom, emptyRoom } from './loaded-room'
import { LostAnswer } from './lost-answer'
import {
  addAudit,
  addAuthors,
  addUpdates,
  fold,
  KIT,
  LEASE_MS,
  ROOM_ID,
  RoomOwners,
} from './postgres-statements'
import { CommitOnLine, type Done } from './commit-on-line'
import { PostgresReads } from './postgres-reads'
import { Tenure } from './tenure'
import type { CommitBatch, CommitUnderWay, HistoryQuery, LoadedRoom, Store, StoredAuditEntry } from './store'

/** A room that this process owns, and what is stored of it: nobody else can add to it, so that it can be read while the database is away. */
interface Owned {
  id: number
  epoch: number
  stored: LoadedRoom
  /** Whoever writes to it knows all that is stored of it: what was loaded, and what they have written since. */
  isKnown: boolean
}

interface StoreOptions {
  leaseMs?: number
  steady?: () => number
  /** Once another process has the board, nothing is taken back through this store. */
  isOneTurn?: boolean
  /** An owner that is known to have ended: its leases are not waited for. */
  dead?: string | null
}

/**
 * Boards in PostgreSQL. [P1] Each room has one owner at a time; every write names the epoch of its ownership and is refused in its own transaction
 * when that is no longer the newest. All methods throw `DatabaseError` when the database fails or is away; the store stays usable afterwards.
 */
export class PostgresStore implements Store {
  readonly #client: PostgresClient
  readonly #owners: RoomOwners | null
  readonly #owned = new Map<string, Owned>()
  /** Taken over by somebody else: to be read again before they are written to. */
  readonly #lost = new Set<string>()
  /** Nothing was stored of them when they were loaded, and nothing has been since. */
  readonly #empty = new Set<string>()
  readonly #onTaken: (room: string) => void
  readonly #tenure: Tenure
  readonly #isOneTurn: boolean
  readonly #lostAnswer: LostAnswer
  readonly #reads: PostgresReads
  #underWay: CommitOnLine | null = null

  /**
   * `client` is closed with the store. `address`: where this process is reached; null: the store only reads, and owns nothing. `onTaken` is told of each room that another process has taken over.
   */
  constructor(
    client: PostgresClient,
    address: string | null,
    onTaken: (room: string) => void = () => undefined,
    {
      leaseMs = LEASE_MS,
      steady = () => performance.now(),
      isOneTurn = false,
      dead = null,
    }: StoreOptions = {},
  ) {
    this.#client = client
    this.#reads = new PostgresReads(client)
    this.#owners =
      client.owner === null || address === null
        ? null
        : new RoomOwners(client.line, client.owner, address, leaseMs, dead)
    this.#tenure = new Tenure(steady, leaseMs)
    this.#isOneTurn = isOneTurn
    this.#onTaken = onTaken
    this.#lostAnswer = new LostAnswer(client.line, (found) => {
      for (const room of found) this.#know(room, false)
    })
    if (this.#owners) client.guard = () => this.#guard()
  }

  check(): void {
    this.#client.check()
    this.#lostAnswer.check()
  }

  get generation(): string {
    return this.#reads.generation()
  }

  load(room: string): LoadedRoom {
    if (this.#isOneTurn && this.#tenure.isOver) throw takenOver(room)
    this.#takeIn()
    this.#lostAnswer.findOut()
    const known = this.#owned.get(room)
    if (known) {
      known.isKnown = true
      return copyOfRoom(known.stored)
    }
    const isAway = !this.#client.line.isUp
    const id = isAway && this.#empty.has(room) ? undefined : this.#roomId(room)
    if (id === undefined) {
      this.#lost.delete(room)
      this.#empty.add(room)
      return emptyRoom()
    }
    const before = this.#tenure.steady()
    const epoch = this.#owners?.take(id, room) ?? 0
    if (room === KIT) this.#tenure.confirmed(before)
    const stored = this.#reads.room(id, room)
    if (this.#owners) this.#owned.set(room, { id, epoch, stored, isKnown: true })
    this.#lost.delete(room)
    this.#empty.delete(room)
    return copyOfRoom(stored)
  }

  commit(batch: CommitBatch): void {
    const { statements, finish } = this.#prepare(batch)
    const { alongside = [] } = batch
    finish(
      alongside.length === 0 ? this.#client.line.batch(statements) : this.#together(statements, alongside),
    )
  }

  begin(batch: CommitBatch): CommitUnderWay | null {
    // What is written alongside waits for its own answers.
    if (batch.alongside && batch.alongside.length > 0) {
      this.commit(batch)
      return null
    }
    const { statements, finish } = this.#prepare(batch)
    return (this.#underWay = new CommitOnLine(this.#client.line.beginBatch(statements), finish))
  }

  /** What a batch says to the database, and what follows from the answer. @throws as `commit` does */
  #prepare(batch: CommitBatch): { statements: Statement[]; finish: (done: Done) => void } {
    this.#takeIn()
    const owners = this.#writing()
    const names = new Set([...batch.updates, ...batch.authors, ...batch.audit].map((e) => e.room))
    for (const room of [...names, KIT]) if (this.#lost.has(room)) throw takenOver(room)
    const made: Statement[] = []
    const held = new Map(
      [...names].map((room) => [room, this.#owned.get(room) ?? this.#make(room, owners, made)]),
    )
    const of = (room: string) => held.get(room)?.id ?? 0
    const fenced = this.#withKit(held)
    const statements = [
      ...made,
      ...owners.fence([...fenced.values()]),
      ...addUpdates(batch.updates.map((u) => ({ ...u, roomId: of(u.room) }))),
      ...addAuthors(batch.authors.map((a) => ({ ...a, roomId: of(a.room) }))),
      ...addAudit(batch.audit.map((entry) => ({ roomId: of(entry.room), entry }))),
    ]
    const apply = () => {
      for (const [room, owned] of held) {
        const newer = this.#owned.get(room)
        // What was read under a later epoch holds this write already; what was taken over since is nobody's here.
        if (this.#lost.has(room) || (newer && newer.epoch > owned.epoch)) continue
        this.#owned.set(room, owned)
        this.#empty.delete(room)
      }
      for (const { room, update } of batch.updates) held.get(room)?.stored.updates.push(update.slice())
      for (const { room, clientId, personId } of batch.authors)
        held.get(room)?.stored.authors.set(clientId, personId)
    }
    const before = this.#tenure.steady()
    const finish = (done: Done) => {
      if ('stoppedAt' in done) this.#refused(statements[done.stoppedAt], fenced, batch)
      this.#lostAnswer.committed(done, [...names], apply)
      if (fenced.has(KIT)) this.#tenure.renewed(before)
    }
    return { statements, finish }
  }

  /** The commit under way counts before anything else is said of what is stored. */
  #takeIn(): void {
    this.#underWay?.takeIn()
    this.#underWay = null
  }

  compact(room: string, snapshotV2: Uint8Array, updatesCovered: number): void {
    this.#takeIn()
    const owners = this.#writing()
    const owned = this.#owned.get(room)
    if (!owned) {
      if (this.#lost.has(room)) throw takenOver(room)
      if (this.#roomId(room) === undefined) throw new RangeError(`Nothing is stored for ${room}`)
      throw new Error(`${room} was not loaded`)
    }
    if (this.#lost.has(KIT)) throw takenOver(KIT)
    // A snapshot by whoever does not know all of it would take the rest away.
    if (!owned.isKnown) throw new Error(`${room} was not loaded`)
    const { stored } = owned
    if (stored.updates.length < updatesCovered)
      throw new RangeError(
        `${room} has ${stored.updates.length} updates, not ${updatesCovered}, to fold into a snapshot`,
      )
    const fenced = this.#withKit(new Map([[room, owned]]))
    const statements = [...owners.fence([...fenced.values()]), ...fold(owned.id, snapshotV2, updatesCovered)]
    const done = this.#client.line.batch(statements)
    const apply = () => {
      stored.snapshot = snapshotV2.slice()
      stored.updates.splice(0, updatesCovered)
    }
    if ('stoppedAt' in done) this.#refused(statements[done.stoppedAt], fenced, null)
    else this.#lostAnswer.committed(done, [room], apply)
  }

  pendingUpdates(room: string): number {
    this.#takeIn()
    const known = this.#owned.get(room)
    if (known) return known.stored.updates.length
    const id = this.#roomId(room)
    return id === undefined ? 0 : this.#reads.pendingUpdates(id)
  }

  rooms(): string[] {
    return this.#reads.rooms()
  }

  lastSeq(): number {
    return this.#reads.lastSeq()
  }

  history(query: HistoryQuery): StoredAuditEntry[] {
    const id = this.#roomId(query.room)
    return id === undefined ? [] : this.#reads.history(id, query)
  }

  release(room: string): void {
    this.#takeIn()
    const owned = this.#owned.get(room)
    this.#owned.delete(room)
    this.#empty.delete(room)
    if (owned) this.#owners?.release(owned)
  }

  /** [P1] To be called again and again, or other processes take this one for gone. */
  renew(): void {
    const owned = [...this.#owned.values()]
    const before = this.#tenure.steady()
    this.#tenure.tick()
    this.#owners?.renew(owned, (count) => {
      if (count < owned.length) this.#lookForTaken()
      else if (this.#owned.has(KIT)) this.#tenure.renewed(before)
    })
  }

  /** [P1] Whether this process judges the board still. */
  holds(): boolean {
    const { line } = this.#client
    const kit = this.#owned.get(KIT)
    const is = { isUp: line.isUp && kit !== undefined, inTransaction: line.inTransaction }
    try {
      return this.#tenure.holds(is, () => {
        for (const { sql, params, rows } of kit && this.#owners ? this.#owners.fence([kit]) : []) {
          if (line.query(sql, params).count === rows) continue
          this.#give([KIT])
          return false
        }
        return true
      })
    } catch (e) {
      if (!(e instanceof DatabaseError)) throw e
      // Where nothing can be written (the disk is full), who has the board can still be read.
      this.#lookForTaken()
      return !this.#tenure.isOver && !this.#tenure.wasAway
    }
  }

  takeFound(): readonly string[] {
    this.#takeIn()
    return this.#lostAnswer.take()
  }

  close(): void {
    this.#client.close()
  }

  /** Without the kit nothing is written, to no room and to no table. */
  #withKit(rooms: ReadonlyMap<string, Owned>): ReadonlyMap<string, Owned> {
    const kit = this.#owned.get(KIT)
    return kit ? new Map([...rooms, [KIT, kit]]) : rooms
  }

  #guard(): void {
    if (this.#lost.has(KIT)) throw takenOver(KIT)
    const kit = this.#owned.get(KIT)
    for (const { sql, params, rows } of kit && this.#owners ? this.#owners.fence([kit]) : []) {
      if (this.#client.line.query(sql, params).count === rows) continue
      this.#give([KIT])
      throw takenOver(KIT)
    }
  }

  /** Fewer rooms than thought are still this process's. */
  #lookForTaken(): void {
    const owned = [...this.#owned].map(([room, { id, epoch }]) => ({ room, id, epoch }))
    try {
      this.#give(this.#owners?.taken(owned) ?? [])
    } catch (e) {
      // It went away meanwhile; the next renewal asks again.
      if (!(e instanceof DatabaseError)) throw e
    }
  }

  #give(taken: readonly string[]): void {
    for (const room of taken) {
      if (room === KIT) this.#tenure.end()
      this.#owned.delete(room)
      this.#empty.delete(room)
      this.#lost.add(room)
      this.#onTaken(room)
    }
  }

  /** One transaction in several requests: what is written alongside is written by its own code. */
  #together(statements: readonly Statement[], alongside: readonly (() => void)[]): Done {
    const { line } = this.#client
    try {
      line.begin()
      for (const [stoppedAt, { sql, params, rows }] of statements.entries()) {
        const { count } = line.query(sql, params)
        if (rows === undefined || count === rows) continue
        line.rollback()
        return { stoppedAt }
      }
      for (const write of alongside) write()
      return line.commit()
    } catch (e) {
      if (line.inTransaction) line.rollback()
      throw asDatabaseError(e)
    }
  }

  /** A statement touched other rows than it had to, so that nothing was written. */
  #refused(
    statement: Statement | undefined,
    held: ReadonlyMap<string, Owned>,
    batch: CommitBatch | null,
  ): never {
    const taken = this.#owners?.taken([...held].map(([room, { id, epoch }]) => ({ room, id, epoch }))) ?? []
    this.#give(taken)
    if (taken[0] !== undefined) throw takenOver(taken[0])
    for (const { room, clientId, personId } of batch?.authors ?? []) {
      const id = held.get(room)?.id ?? 0
      const known = this.#reads.authors(id).find((a) => a.clientId === clientId)
      if (known && known.personId !== personId)
        throw new Error(`clientID ${clientId} already belongs to ${known.personId}`)
    }
    throw new DatabaseError('other', `a write touched other rows than it had to: ${statement?.sql ?? ''}`)
  }

  /** A room that nothing was stored of yet, or that was never read here: it is taken in the write's own transaction. */
  #make(room: string, owners: RoomOwners, statements: Statement[]): Owned {
    const known = this.#roomId(room)
    if (known !== undefined) {
      // What is written was judged on an empty room, and it no longer is.
      if (this.#empty.has(room)) {
        this.#give([room])
        throw takenOver(room)
      }
      this.load(room)
      this.#know(room, false)
      const owned = this.#owned.get(room)
      if (owned) return owned
    }
    const id = Number(this.#client.line.query(ROOM_ID).rows[0]?.[0])
    statements.push(...owners.make(id, room))
    return { id, epoch: 1, stored: emptyRoom(), isKnown: true }
  }

  #know(room: string, isKnown: boolean): void {
    const owned = this.#owned.get(room)
    if (owned) owned.isKnown = isKnown
  }

  #writing(): RoomOwners {
    if (!this.#owners) throw new TypeError('This store only reads')
    this.check()
    return this.#owners
  }

  #roomId(room: string): number | undefined {
    return this.#owned.get(room)?.id ?? this.#reads.roomId(room)
  }
}

const takenOver = (room: string) => new DatabaseError('taken-over', room)
