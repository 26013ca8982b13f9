import { and, desc, eq, gte, lt, ne, sql, type SQL } from 'drizzle-orm'
import type { Json } from '@/lib/core/json'
import type { Db } from '@/drizzle/client'
import { rowChecksum } from '@/drizzle/row-checksum'
import { audit } from '@/drizzle/schema'
import type { AuditEntry, HistoryQuery, StoredAuditEntry } from './store'

const MAX_HISTORY = 500

// JSON null and an empty field are the same to the audit trail.
const toText = (value: Json | null): string | null => (value === null ? null : JSON.stringify(value))
const fromText = (text: string | null): Json | null => (text === null ? null : (JSON.parse(text) as Json))

/** One line of the audit trail as the tables have it. */
export function auditRow(roomId: number, e: AuditEntry) {
  const [before, after] = [toText(e.before), toText(e.after)]
  const { at, personId, deviceId, collection, recordId, field, outcome } = e
  const checksum = rowChecksum([
    roomId,
    at,
    personId,
    deviceId,
    collection,
    recordId,
    field,
    before,
    after,
    outcome,
  ])
  return { roomId, at, personId, deviceId, collection, recordId, field, before, after, outcome, checksum }
}

/** Newest first. */
export function selectHistory(db: Db, roomId: number, query: HistoryQuery): StoredAuditEntry[] {
  // The plus keeps SQLite from sorting all of a room's rows: without a record it reads the table from its end.
  const where: SQL[] = [
    query.recordId === undefined ? sql`+${audit.roomId} = ${roomId}` : eq(audit.roomId, roomId),
  ]
  if (query.collection !== undefined) where.push(eq(audit.collection, query.collection))
  if (query.recordId !== undefined) where.push(eq(audit.recordId, query.recordId))
  if (query.field !== undefined) where.push(eq(audit.field, query.field))
  if (query.refused === false) where.push(ne(audit.outcome, 'refused'))
  if (query.fromSeq !== undefined) where.push(gte(audit.seq, query.fromSeq))
  if (query.beforeSeq !== undefined) where.push(lt(audit.seq, query.beforeSeq))
  return db
    .select()
    .from(audit)
    .where(and(...where))
    .orderBy(desc(audit.seq))
    .limit(Math.min(Math.max(1, Math.trunc(query.limit)), MAX_HISTORY))
    .all()
    .map(({ roomId: _, checksum: __, before, after, ...entry }) => ({
      ...entry,
      room: query.room,
      before: fromText(before),
      after: fromText(after),
    }))
}
