import { createHash } from 'node:crypto'
import * as Y from 'yjs'
import type { Client } from '@/drizzle/client'
import type { ArchivePlan, Difference, RoomPlan } from '@/lib/archive'
import { collectionDef, fieldDef } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import { recordName } from '@/lib/lists'
import { parseRoomName } from '@/lib/sync/room-name'
import type { Charged } from '../http/charged'
import type { BoardEditor } from '../join/kit-people'
import { kindOf, type CheckedArchive } from './check-archive'
import { SEEN_AT_ONCE } from './archive-limits'
import { compareRoom, type ComparedRoom, type ComparedValue } from './compare-room'
import { notesOnEqualNames } from './equal-names'
import { readPhotoRows } from './read-rooms'
import { historyToTake } from './take-history'

export interface ImportParts {
  client: Client
  board: BoardEditor
  /** Whoever asked pays for what is done after waiting; nobody at the terminal. */
  charged?: Charged
  /** Another figure than `SEEN_AT_ONCE`. */
  seenAtOnce?: number
}

const DIFFERENCES_TOLD = 200

/** A meeting that is new here is seen by nobody before the kit names it. */
export const isSeenByPeople = ({ room, isNew }: Pick<ComparedRoom, 'room' | 'isNew'>): boolean =>
  room === 'kit' || !isNew

/** A plan, and the comparison that it was made from: what is carried out is what was shown. */
export interface MadePlan {
  plan: ArchivePlan
  compared: ReadonlyMap<string, ComparedRoom>
}

/** What bringing an archive in would do to this board. Changes nothing. */
export async function planArchive(archive: CheckedArchive, parts: ImportParts): Promise<ArchivePlan> {
  return (await makePlan(archive, parts)).plan
}

export async function makePlan(archive: CheckedArchive, parts: ImportParts): Promise<MadePlan> {
  const rooms: RoomPlan[] = []
  const all = new Map<string, ComparedRoom>()
  const digest = createHash('sha256').update(archive.seal)
  let history = 0
  const photos = { added: 0, same: 0 }
  const equal: string[] = []
  const byParts: string[] = []
  for (const room of archive.rooms) {
    const compared = await compareHere(archive, room, parts)
    all.set(room, compared)
    if (room === 'kit')
      equal.push(...(await parts.board.readRoom(room, (here) => notesOnEqualNames(here, compared))))
    digest.update(room)
    for (const v of compared.values)
      digest.update(canonicalJson([v.collection, v.recordId, v.field, v.here, v.verdict]))
    const plan = await roomPlan(compared, archive)
    rooms.push(plan)
    if (isSeenByPeople(compared) && compared.values.length > (parts.seenAtOnce ?? SEEN_AT_ONCE))
      byParts.push(noteOnParts(plan.name, compared.values.length))
    for await (const entries of historyToTake(archive, compared, parts.client)) history += entries.length
    const name = parseRoomName(room)
    if (name?.kind !== 'meeting') continue
    const kept = new Set(readPhotoRows(parts.client, name.meetingId).map((row) => row.hash))
    for (const row of await archive.photos(name.meetingId)) photos[kept.has(row.hash) ? 'same' : 'added']++
  }
  const { createdAt, scope, notes } = archive.manifest
  const told = [...notes, ...equal, ...byParts]
  const plan = { createdAt, scope, rooms, photos, history, notes: told, digest: digest.digest('hex') }
  return { plan, compared: all }
}

const noteOnParts = (name: string, values: number): string =>
  `${name}: ${values.toLocaleString('en-US')} values change, too many to come in all at once. They come in by parts, and whoever looks meanwhile sees some of them. If it is cut off, import the same archive again: it brings the rest.`

const compareHere = (
  archive: CheckedArchive,
  room: string,
  { client, board, charged = (work) => work() }: ImportParts,
): Promise<ComparedRoom> =>
  // Whatever is written meanwhile comes in another turn: the plan's digest tells, and each value is looked at again where it is written.
  // What is compared is what is on disk now, and nothing that is under way by then.
  board.readRoom(room, copyOf).then((doc) => compareRoom(archive, room, doc, { client, charged }))

function copyOf(doc: Y.Doc): Y.Doc {
  const copy = new Y.Doc()
  Y.applyUpdate(copy, Y.encodeStateAsUpdate(doc))
  return copy
}

async function roomPlan(compared: ComparedRoom, archive: CheckedArchive): Promise<RoomPlan> {
  const kind = kindOf(compared.room)
  const byCollection = new Map<string, { added: Set<string>; later: number; conflicts: number }>()
  let filled = 0
  for (const v of compared.values) {
    const sums = byCollection.get(v.collection) ?? { added: new Set<string>(), later: 0, conflicts: 0 }
    byCollection.set(v.collection, sums)
    if (v.verdict === 'added') sums.added.add(v.recordId)
    if (v.verdict === 'later') sums.later++
    if (v.verdict === 'conflict') sums.conflicts++
    if (v.verdict === 'filled') filled++
  }
  const doc = await archive.document(compared.room)
  const nameOf = (collection: string, recordId: string): string =>
    recordName(doc, collection, recordId) || recordId
  const plan: RoomPlan = {
    room: compared.room,
    name: compared.room === 'kit' ? 'Kit' : nameOf('meeting', 'meeting'),
    isNew: compared.isNew,
    collections: [...byCollection].map(([collection, sums]) => ({
      collection,
      label: collectionDef(kind, collection)?.label ?? collection,
      added: sums.added.size,
      later: sums.later,
      conflicts: sums.conflicts,
    })),
    filled,
    older: compared.older,
    same: compared.same,
    differences: compared.values
      .filter(isDifference)
      .slice(0, DIFFERENCES_TOLD)
      .map((v): Difference => ({
        kind: v.verdict,
        collection: collectionDef(kind, v.collection)?.label ?? v.collection,
        recordId: v.recordId,
        name: nameOf(v.collection, v.recordId),
        field: fieldDef(kind, v.collection, v.field)?.label ?? v.field,
        // A record that is here does not say so.
        here: v.here ?? (v.field === 'removed' ? false : null),
        archive: v.archive,
      })),
  }
  doc.destroy()
  return plan
}

const isDifference = (
  v: ComparedValue,
): v is ComparedValue & { verdict: Difference['kind']; archive: Json } =>
  v.verdict === 'later' || v.verdict === 'conflict'
