import { and, asc, eq, gt, inArray, type SQL } from 'drizzle-orm'
import type { Client } from '@/drizzle/client'
import { audit, photos, rooms } from '@/drizzle/schema'
import type { Json } from '@/lib/core/json'
import type { AuditEntry } from '../storage/store'

const ROWS_AT_ONCE = 2_000

const fromText = (text: string | null): Json | null => (text === null ? null : (JSON.parse(text) as Json))

/** A room's history, oldest first, some thousand lines at a time. `recordIds`: only of these records. */
export function* readHistory(
  { db }: Client,
  room: string,
  only?: { collection: string; recordIds: readonly string[] },
): Generator<AuditEntry[]> {
  const { id } = db.select({ id: rooms.id }).from(rooms).where(eq(rooms.name, room)).get() ?? { id: null }
  if (id === null) return
  const where: SQL[] = [eq(audit.roomId, id)]
  if (only) where.push(eq(audit.collection, only.collection), inArray(audit.recordId, [...only.recordIds]))
  for (let after = 0; ;) {
    const rows = db
      .select()
      .from(audit)
      .where(and(...where, gt(audit.seq, after)))
      .orderBy(asc(audit.seq))
      .limit(ROWS_AT_ONCE)
      .all()
    if (rows.length > 0)
      yield rows.map(({ seq: _, roomId: __, checksum: ___, before, after: is, ...entry }) => ({
        ...entry,
        room,
        before: fromText(before),
        after: fromText(is),
      }))
    after = rows.at(-1)?.seq ?? 0
    if (rows.length < ROWS_AT_ONCE) return
  }
}

/** A photo without its bytes. */
export interface PhotoRow {
  hash: string
  runId: string
  type: string
  personId: string
  at: number
}

/** The photos that the server keeps of a meeting, thumbnails included. */
export const readPhotoRows = ({ db }: Client, meetingId: string): PhotoRow[] =>
  db
    .select({
      hash: photos.hash,
      runId: photos.runId,
      type: photos.type,
      personId: photos.personId,
      at: photos.at,
    })
    .from(photos)
    .where(eq(photos.meetingId, meetingId))
    .orderBy(asc(photos.hash))
    .all()
