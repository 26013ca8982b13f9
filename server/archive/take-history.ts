import type { Client } from '@/drizzle/client'
import { rowChecksum } from '@/drizzle/row-checksum'
import { isNewRecords } from './new-records'
import type { AuditEntry } from '../storage/store'
import type { CheckedArchive } from './check-archive'
import type { ComparedRoom } from './compare-room'
import { readHistory } from './read-rooms'

const LINES_AT_ONCE = 1_000

/**
 * Lines of an archive's history that the board takes over: all of a room that is new, otherwise those of records that are new here. What became
 * of a record that both have, each board tells by its own history. Lines that are here already (a taking-over that was cut off) are left out.
 */
export async function* historyToTake(
  archive: CheckedArchive,
  compared: ComparedRoom,
  client: Client,
): AsyncGenerator<AuditEntry[]> {
  const isNew = isNewRecords(compared)
  if (!compared.isNew && !isNew.any) return
  const here = new Set<string>()
  for (const entries of readHistory(client, compared.room)) for (const e of entries) here.add(markOf(e))
  let part: AuditEntry[] = []
  for await (const entry of archive.history(compared.room)) {
    if (!compared.isNew && !isNew.has(entry)) continue
    if (here.has(markOf(entry))) continue
    part.push(entry)
    if (part.length < LINES_AT_ONCE) continue
    yield part
    part = []
  }
  if (part.length > 0) yield part
}

/** Short, since a season has hundreds of thousands: the moment, and a checksum of the rest. */
const markOf = (e: AuditEntry): string =>
  `${e.at.toString(36)}.${rowChecksum([
    e.personId,
    e.deviceId,
    e.collection,
    e.recordId,
    e.field,
    JSON.stringify(e.before),
    JSON.stringify(e.after),
    e.outcome,
  ]).toString(36)}`
