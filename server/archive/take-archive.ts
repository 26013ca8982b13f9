import type * as Y from 'yjs'
import type { ArchiveTaken, ConflictChoice } from '@/lib/archive'
import { collectionDef, readField, writeField, type DocKind } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import { ok, refuse, type Result } from '@/lib/core/result'
import { parseRoomName } from '@/lib/sync/room-name'
import type { PhotoStore } from '../photos/photo-store'
import type { AuditEntry, ToldEdit } from '../storage/store'
import { SEEN_AT_ONCE } from './archive-limits'
import { photosNamed } from './board-text'
import { kindOf, type CheckedArchive } from './check-archive'
import type { ComparedRoom, ComparedValue } from './compare-room'
import { isNewRecords } from './new-records'
import { isSeenByPeople, makePlan, type ImportParts } from './plan-archive'
import { readPhotoRows } from './read-rooms'
import { historyToTake } from './take-history'

/** Values of a room that nobody sees yet, written in one turn: some 10 ms, with room for everybody's edits in between. */
const VALUES_AT_ONCE = 400

export interface TakeParts extends ImportParts {
  photos: PhotoStore
}
/** Who brings the archive in. */
export interface Taker {
  personId: string
}

/**
 * Bring in an archive as its plan says. Values are written by the server like any edit of its own, under its own clientID: nothing of the archive's
 * documents comes along, so no clientID of another board does either. A value that somebody writes while this goes on is theirs: it stays, and is
 * counted. First the photos, which nobody sees before a board names them, then the
 * meetings, then the kit, which makes new ones known. The kit, and a meeting that is here already, come each in one piece: cut off in between, no room
 * that people see is half of both, and the same archive brought in again does what is left. A room of which more than `SEEN_AT_ONCE` values change comes by
 * parts, each of whole records; its plan says so.
 *
 * Errors: the board is no longer as it was when the plan was made. @throws NotStored, DatabaseError
 */
export async function takeArchive(
  archive: CheckedArchive,
  parts: TakeParts,
  wish: { conflicts: ConflictChoice; digest: string; by: Taker },
): Promise<Result<ArchiveTaken>> {
  const { plan, compared } = await makePlan(archive, parts)
  if (plan.digest !== wish.digest)
    return refuse(
      'Archive',
      '',
      'the board was changed since you looked',
      'Nothing was changed. Look at what it would do now, then import it.',
    )
  const taken: ArchiveTaken = { values: 0, photos: 0, history: 0, left: 0 }
  const photos = await takePhotos(archive, parts, taken)
  if (!photos.ok) return photos
  for (const room of [...archive.rooms.filter((r) => r !== 'kit'), 'kit']) {
    const asPlanned = compared.get(room)
    if (asPlanned) await takeRoom(archive, asPlanned, parts, wish, taken)
  }
  return ok(taken)
}

async function takePhotos(
  archive: CheckedArchive,
  { client, photos, board, charged = (work) => work() }: TakeParts,
  taken: ArchiveTaken,
): Promise<Result<void>> {
  for (const room of archive.rooms) {
    const name = parseRoomName(room)
    if (name?.kind !== 'meeting') continue
    const { meetingId } = name
    const kept = new Set(readPhotoRows(client, meetingId).map((row) => row.hash))
    const theirs = await archive.document(room)
    const named = new Set([...photosNamed(theirs), ...(await board.readRoom(room, photosNamed))])
    theirs.destroy()
    for (const { hash, runId, type, personId } of await archive.photos(meetingId)) {
      if (kept.has(hash)) continue
      const data = await archive.photo(meetingId, hash)
      const put = charged(() => photos.put({ meetingId, runId, hash, type, data, personId }, named))
      if (put !== 'stored')
        return refuse(
          'Photos',
          '',
          put === 'run full'
            ? `run ${runId} has as many photos as a run may have`
            : 'the board’s room for photos is full',
          'The board’s values were not changed. Bring the archive in again once there is room.',
        )
      taken.photos++
    }
  }
  return ok(undefined)
}

async function takeRoom(
  archive: CheckedArchive,
  compared: ComparedRoom,
  { client, board, charged = (work) => work(), seenAtOnce = SEEN_AT_ONCE }: TakeParts,
  { conflicts, by }: { conflicts: ConflictChoice; by: Taker },
  taken: ArchiveTaken,
): Promise<void> {
  const { room } = compared
  const last = new Map<string, string>()
  const isSeen = isSeenByPeople(compared)
  // Written with the values.
  const withThem: AuditEntry[] = []
  for await (const besides of historyToTake(archive, compared, client)) {
    if (isSeen && withThem.length + besides.length <= seenAtOnce) withThem.push(...besides)
    else await board.editAsServer(room, () => undefined, undefined, { own: (entry) => entry, besides })
    taken.history += besides.length
  }
  // What the archive's history ends with needs no line of its own.
  const isNew = isNewRecords(compared)
  for await (const e of archive.history(room))
    if (e.outcome === 'accepted' && (compared.isNew || isNew.has(e)))
      last.set(keyOf(e), canonicalJson(e.after))
  const deviceId = `archive:${archive.seal.slice(0, 12)}`
  const told: ToldEdit = {
    own: (entry: AuditEntry) =>
      last.get(keyOf(entry)) === canonicalJson(entry.after) &&
      !(room === 'kit' && entry.collection === 'meetings')
        ? null
        : { ...entry, personId: by.personId, deviceId },
    besides: withThem,
  }
  const wanted = compared.values.filter((v) => v.verdict !== 'conflict' || conflicts === 'archive')
  if (wanted.length + withThem.length === 0) return
  const isWhole = isSeen && wanted.length <= seenAtOnce
  for (const [n, values] of (isWhole ? [wanted] : [...inRecords(wanted)]).entries()) {
    let written = 0
    await board.editAsServer(
      room,
      (doc) =>
        charged(() => {
          const fitting = asCompared(doc, kindOf(room), values)
          for (const v of fitting) writeField(doc, v.collection, v.recordId, v.field, v.archive)
          written = fitting.length
        }),
      undefined,
      n === 0 ? told : { ...told, besides: [] },
    )
    taken.values += written
    taken.left += values.length - written
  }
}

/** Values of which the board still says what it said when they were compared; of a record that came meanwhile, none. */
function asCompared(doc: Y.Doc, kind: DocKind, values: readonly ComparedValue[]): ComparedValue[] {
  const came = new Map<string, boolean>()
  const hasCome = ({ collection, recordId }: ComparedValue): boolean => {
    const key = `${collection}/${recordId}`
    const known =
      came.get(key) ??
      Object.keys(collectionDef(kind, collection)?.fields ?? {}).some(
        (field) => readField(doc, collection, recordId, field) !== undefined,
      )
    came.set(key, known)
    return known
  }
  return values.filter((v) =>
    v.verdict === 'added'
      ? !hasCome(v)
      : textOf(readField(doc, v.collection, v.recordId, v.field)) === textOf(v.here),
  )
}

const textOf = (value: Json | undefined) => (value === undefined ? null : canonicalJson(value))

const keyOf = (e: { collection: string; recordId: string; field: string }) =>
  `${e.collection}/${e.recordId}:${e.field}`

/** Some hundred values at a time; a record's values together. */
function* inRecords(values: readonly ComparedValue[]): Generator<ComparedValue[]> {
  const recordOf = (v: ComparedValue) => `${v.collection}/${v.recordId}`
  const inOrder = [...values].sort((a, b) =>
    recordOf(a) < recordOf(b) ? -1 : recordOf(a) > recordOf(b) ? 1 : 0,
  )
  let part: ComparedValue[] = []
  for (const [i, v] of inOrder.entries()) {
    part.push(v)
    const next = inOrder[i + 1]
    if (part.length < VALUES_AT_ONCE || (next && recordOf(next) === recordOf(v))) continue
    yield part
    part = []
  }
  if (part.length > 0) yield part
}
