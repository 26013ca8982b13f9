import { asc, count, desc, eq } from 'drizzle-orm'
import type { PostgresClient } from '@/drizzle/postgres/client'
import { asDatabaseError } from '@/drizzle/database-error'
import { readGeneration } from '@/drizzle/generation'
import { audit, authors, rooms, snapshots, updates } from '@/drizzle/schema'
import { selectHistory } from './audit-rows'
import { copyOfRoom, loadedRoom } from './loaded-room'
import type { HistoryQuery, LoadedRoom, StoredAuditEntry } from './store'

/** What is in the database, whoever owns it. @throws DatabaseError from every method */
export class PostgresReads {
  readonly #client: PostgresClient

  constructor(client: PostgresClient) {
    this.#client = client
  }

  generation(): string {
    return this.#read(() => readGeneration(this.#client))
  }

  roomId(room: string): number | undefined {
    return this.#read((db) => db.select({ id: rooms.id }).from(rooms).where(eq(rooms.name, room)).get()?.id)
  }

  rooms(): string[] {
    return this.#read((db) => db.select({ name: rooms.name }).from(rooms).all())
      .map((r) => r.name)
      .sort()
  }

  room(id: number, room: string): LoadedRoom {
    const rows = this.#read((db) => ({
      snapshot: db.select().from(snapshots).where(eq(snapshots.roomId, id)).get(),
      updates: db.select().from(updates).where(eq(updates.roomId, id)).orderBy(asc(updates.seq)).all(),
      authors: this.authors(id),
    }))
    // What came over the line is a part of something larger, which would be kept with it.
    return copyOfRoom(loadedRoom(room, id, rows))
  }

  authors(id: number): (typeof authors.$inferSelect)[] {
    return this.#read((db) => db.select().from(authors).where(eq(authors.roomId, id)).all())
  }

  pendingUpdates(id: number): number {
    return this.#read(
      (db) => db.select({ n: count() }).from(updates).where(eq(updates.roomId, id)).get()?.n ?? 0,
    )
  }

  lastSeq(): number {
    return this.#read(
      (db) => db.select({ seq: audit.seq }).from(audit).orderBy(desc(audit.seq)).limit(1).get()?.seq ?? 0,
    )
  }

  history(id: number, query: HistoryQuery): StoredAuditEntry[] {
    return this.#read((db) => selectHistory(db, id, query))
  }

  #read<T>(work: (db: PostgresClient['db']) => T): T {
    try {
      return work(this.#client.db)
    } catch (e) {
      throw asDatabaseError(e)
    }
  }
}
