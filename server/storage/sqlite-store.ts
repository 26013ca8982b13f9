import { and, asc, count, desc, eq, inArray, sql } from 'drizzle-orm'
import { boundInsert } from '@/drizzle/bound-insert'
import type { Db, SqliteClient } from '@/drizzle/client'
import { asDatabaseError, DatabaseError } from '@/drizzle/database-error'
import { readGeneration } from '@/drizzle/generation'
import { rowChecksum } from '@/drizzle/row-checksum'
import { audit, authors, rooms, snapshots, updates } from '@/drizzle/schema'
import { auditRow, selectHistory } from './audit-rows'
import { emptyRoom, loadedRoom } from './loaded-room'
import type { CommitBatch, HistoryQuery, LoadedRoom, Store, StoredAuditEntry } from './store'

/**
 * Boards in SQLite. The client's connection settings make a commit durable when it returns.
 * All methods throw `DatabaseError` when SQLite fails; the store stays usable afterwards.
 */
export class SqliteStore implements Store {
  readonly #client: SqliteClient
  readonly #db: Db
  readonly #q: ReturnType<typeof prepare>
  readonly #roomIds = new Map<string, number>()

  /** `client` must be migrated; closing the store closes it. */
  constructor(client: SqliteClient) {
    this.#client = client
    this.#db = client.db
    this.#q = prepare(client)
    this.#readRooms()
  }

  check(): void {
    this.#client.check()
  }

  get generation(): string {
    return this.#read(() => readGeneration(this.#client))
  }

  load(room: string): LoadedRoom {
    const roomId = this.#roomIds.get(room)
    if (roomId === undefined) return emptyRoom()
    return this.#read(() =>
      loadedRoom(room, roomId, {
        snapshot: this.#q.snapshotOf.get({ roomId }),
        updates: this.#q.updatesOf.all({ roomId }),
        authors: this.#q.authorsOf.all({ roomId }),
      }),
    )
  }

  commit(batch: CommitBatch): void {
    try {
      this.#write(batch)
    } catch (e) {
      // A folder that was taken away during the commit: the rows are in, though nobody may be told.
      if (e instanceof DatabaseError && e.trouble !== 'busy') this.#read(() => this.#readRooms())
      throw e
    }
  }

  #readRooms(): void {
    for (const room of this.#client.db.select().from(rooms).all()) this.#roomIds.set(room.name, room.id)
  }

  #write(batch: CommitBatch): void {
    const added = new Map<string, number>()
    const idOf = (room: string) => this.#roomIds.get(room) ?? added.get(room) ?? this.#addRoom(room, added)
    this.#client.transact(() => {
      for (const u of batch.updates) {
        const roomId = idOf(u.room)
        this.#q.addUpdate({
          roomId,
          at: u.at,
          data: u.update,
          checksum: rowChecksum([roomId, u.at, u.update]),
        })
      }
      for (const a of batch.authors) this.#addAuthor(idOf(a.room), a.clientId, a.personId)
      for (const entry of batch.audit) this.#q.addAudit(auditRow(idOf(entry.room), entry))
      for (const write of batch.alongside ?? []) write()
    })
    // Only now: had the transaction failed, these rooms would not exist.
    for (const [room, id] of added) this.#roomIds.set(room, id)
  }

  compact(room: string, snapshotV2: Uint8Array, updatesCovered: number): void {
    const roomId = this.#roomIds.get(room)
    if (roomId === undefined) throw new RangeError(`Nothing is stored for ${room}`)
    this.#client.transact(() => {
      const { changes } = this.#q.dropOldest.run({ roomId, covered: updatesCovered })
      if (changes !== updatesCovered)
        throw new RangeError(`${room} has ${changes} updates, not ${updatesCovered}, to fold into a snapshot`)
      this.#q.putSnapshot.run({ roomId, data: snapshotV2, checksum: rowChecksum([roomId, snapshotV2]) })
    })
  }

  pendingUpdates(room: string): number {
    const roomId = this.#roomIds.get(room)
    if (roomId === undefined) return 0
    return this.#read(() => this.#q.countUpdates.get({ roomId })?.n ?? 0)
  }

  rooms(): string[] {
    return [...this.#roomIds.keys()].sort()
  }

  lastSeq(): number {
    return this.#read(() => this.#q.lastSeq.get()?.seq ?? 0)
  }

  history(query: HistoryQuery): StoredAuditEntry[] {
    const roomId = this.#roomIds.get(query.room)
    if (roomId === undefined) return []
    return this.#read(() => selectHistory(this.#db, roomId, query))
  }

  // One process alone has the folder, and a commit's answer can't be lost.
  release(): void {}
  takeFound(): readonly string[] {
    return []
  }

  close(): void {
    this.#client.close()
  }

  #addRoom(room: string, added: Map<string, number>): number {
    const id = (this.#q.lastRoomId.get()?.id ?? 0) + 1
    this.#q.addRoom.run({ id, name: room, checksum: rowChecksum([id, room]) })
    added.set(room, id)
    return id
  }

  #addAuthor(roomId: number, clientId: number, personId: string): void {
    const checksum = rowChecksum([roomId, clientId, personId])
    if (this.#q.addAuthor({ roomId, clientId, personId, checksum }) === 1) return
    const known = this.#q.authorOf.get({ roomId, clientId })
    if (known?.personId !== personId)
      throw new Error(`clientID ${clientId} already belongs to ${known?.personId ?? 'nobody'}`)
  }

  #read<T>(work: () => T): T {
    try {
      return work()
    } catch (e) {
      throw asDatabaseError(e)
    }
  }
}

type UpdateRow = Omit<typeof updates.$inferInsert, 'seq' | 'data'> & { data: Uint8Array }
type AuthorRow = typeof authors.$inferInsert
type AuditRow = Omit<typeof audit.$inferInsert, 'seq'>

/** Statements of the busy paths, compiled once. */
function prepare(client: SqliteClient) {
  const { db } = client
  const p = sql.placeholder
  const ofRoom = eq(updates.roomId, p('roomId'))
  const oldest = db
    .select({ seq: updates.seq })
    .from(updates)
    .where(ofRoom)
    .orderBy(asc(updates.seq))
    .limit(p('covered'))
  return {
    lastSeq: db.select({ seq: audit.seq }).from(audit).orderBy(desc(audit.seq)).limit(1).prepare(),
    lastRoomId: db.select({ id: rooms.id }).from(rooms).orderBy(desc(rooms.id)).limit(1).prepare(),
    addRoom: db
      .insert(rooms)
      .values({ id: p('id'), name: p('name'), checksum: p('checksum') })
      .prepare(),
    addUpdate: boundInsert<UpdateRow>(
      client,
      db
        .insert(updates)
        .values({ roomId: p('roomId'), at: p('at'), data: p('data'), checksum: p('checksum') }),
    ),
    updatesOf: db.select().from(updates).where(ofRoom).orderBy(asc(updates.seq)).prepare(),
    countUpdates: db.select({ n: count() }).from(updates).where(ofRoom).prepare(),
    dropOldest: db.delete(updates).where(inArray(updates.seq, oldest)).prepare(),
    snapshotOf: db
      .select()
      .from(snapshots)
      .where(eq(snapshots.roomId, p('roomId')))
      .prepare(),
    putSnapshot: db
      .insert(snapshots)
      .values({ roomId: p('roomId'), data: p('data'), checksum: p('checksum') })
      .onConflictDoUpdate({
        target: snapshots.roomId,
        set: { data: sql`excluded.data`, checksum: sql`excluded.checksum` },
      })
      .prepare(),
    authorsOf: db
      .select()
      .from(authors)
      .where(eq(authors.roomId, p('roomId')))
      .prepare(),
    authorOf: db
      .select()
      .from(authors)
      .where(and(eq(authors.roomId, p('roomId')), eq(authors.clientId, p('clientId'))))
      .prepare(),
    addAuthor: boundInsert<AuthorRow>(
      client,
      db
        .insert(authors)
        .values({
          roomId: p('roomId'),
          clientId: p('clientId'),
          personId: p('personId'),
          checksum: p('checksum'),
        })
        .onConflictDoNothing(),
    ),
    addAudit: boundInsert<AuditRow>(
      client,
      db.insert(audit).values({
        roomId: p('roomId'),
        at: p('at'),
        personId: p('personId'),
        deviceId: p('deviceId'),
        collection: p('collection'),
        recordId: p('recordId'),
        field: p('field'),
        before: p('before'),
        after: p('after'),
        outcome: p('outcome'),
        checksum: p('checksum'),
      }),
    ),
  }
}
