import type * as Y from 'yjs'
import type { Client } from '@/drizzle/client'
import { readField, type DocKind } from '@/lib/board'
import { canonicalJson, type Json } from '@/lib/core/json'
import type { Charged } from '../http/charged'
import type { AuditEntry } from '../storage/store'
import { kindOf, type CheckedArchive } from './check-archive'
import { valuesOf } from './read-document'
import { readHistory } from './read-rooms'

export interface ComparedValue {
  collection: string
  recordId: string
  field: string
  here: Json | undefined
  archive: Json
  /**
   * `added`: of a record that is new here. `filled`: this record has no such value yet. `later`: the archive replaced what is here. `conflict`:
   * both were changed apart from each other.
   */
  verdict: 'added' | 'filled' | 'later' | 'conflict'
}

export interface ComparedRoom {
  room: string
  /** The board has nothing of it. */
  isNew: boolean
  values: ComparedValue[]
  /** The board replaced what is in the archive: it stays. */
  older: number
  same: number
}

/** What a room's history says that a field held, in the texts of equal values. */
type Held = Map<string, Set<string>>
const keyOf = (v: { collection: string; recordId: string; field: string }) =>
  `${v.collection}/${v.recordId}:${v.field}`

/**
 * How a room of the archive differs from this board's. Which of two values is the later one, their histories say: one of them replaced the other,
 * or neither knows the other's.
 *
 * People who are on the board already stay as they are: who is on the crew, and as what, is decided on its own screen and never by a file.
 */
export async function compareRoom(
  archive: CheckedArchive,
  room: string,
  here: Y.Doc,
  { client, charged }: { client: Client; charged: Charged },
): Promise<ComparedRoom> {
  const kind = kindOf(room)
  const theirs = await archive.document(room)
  const differing: ComparedValue[] = []
  const compared = charged(() => compareValues(kind, room, here, theirs, differing))
  theirs.destroy()
  if (differing.length > 0) await judge(archive, compared, differing, { client, charged })
  return compared
}

/** Value by value; those of which the histories decide go to `differing`. */
function compareValues(
  kind: DocKind,
  room: string,
  here: Y.Doc,
  theirs: Y.Doc,
  differing: ComparedValue[],
): ComparedRoom {
  const known = new Set<string>()
  for (const { collection, recordId } of valuesOf(kind, here)) known.add(`${collection}/${recordId}`)
  const compared: ComparedRoom = { room, isNew: known.size === 0, values: [], older: 0, same: 0 }
  for (const { collection, recordId, field, value } of valuesOf(kind, theirs)) {
    const now = readField(here, collection, recordId, field)
    const isKnown = known.has(`${collection}/${recordId}`)
    if (now !== undefined && canonicalJson(now) === canonicalJson(value)) compared.same++
    else if (room === 'kit' && collection === 'people' && isKnown) compared.older++
    else {
      // A record that is here says nowhere that it is: its removal elsewhere takes it away, and is asked about by name.
      const isTaken = field === 'removed' && value === true
      const verdict = !isKnown ? 'added' : now === undefined && !isTaken ? 'filled' : 'conflict'
      const found: ComparedValue = { collection, recordId, field, here: now, archive: value, verdict }
      if (verdict === 'conflict') differing.push(found)
      else compared.values.push(found)
    }
  }
  return compared
}

async function judge(
  archive: CheckedArchive,
  compared: ComparedRoom,
  differing: readonly ComparedValue[],
  { client, charged }: { client: Client; charged: Charged },
): Promise<void> {
  const wanted = new Map(differing.map((v): [string, Set<string>] => [keyOf(v), new Set()]))
  const theirs: Held = new Map([...wanted].map(([key]) => [key, new Set<string>()]))
  for await (const entry of archive.history(compared.room)) note(theirs, entry)
  charged(() => noteOwn(compared.room, differing, wanted, client))
  for (const value of differing) {
    const [here, there] = [textOf(value.here ?? null), textOf(value.archive)]
    const archiveReplaced = theirs.get(keyOf(value))?.has(here) ?? false
    const boardReplaced = wanted.get(keyOf(value))?.has(there) ?? false
    if (boardReplaced && !archiveReplaced) compared.older++
    else compared.values.push({ ...value, verdict: archiveReplaced && !boardReplaced ? 'later' : 'conflict' })
  }
}

/** What this board's history says of the same values. */
function noteOwn(room: string, differing: readonly ComparedValue[], wanted: Held, client: Client): void {
  const byCollection = new Map<string, Set<string>>()
  for (const { collection, recordId } of differing)
    byCollection.set(collection, (byCollection.get(collection) ?? new Set<string>()).add(recordId))
  for (const [collection, ids] of byCollection)
    for (const recordIds of inParts([...ids]))
      for (const entries of readHistory(client, room, { collection, recordIds }))
        for (const entry of entries) note(wanted, entry)
}

const textOf = (value: Json) => canonicalJson(value)

function note(held: Held, entry: AuditEntry): void {
  if (entry.outcome !== 'accepted') return
  const texts = held.get(keyOf(entry))
  texts?.add(textOf(entry.after))
  if (entry.before !== null) texts?.add(textOf(entry.before))
}

function* inParts<T>(list: readonly T[]): Generator<T[]> {
  for (let at = 0; at < list.length; at += 200) yield list.slice(at, at + 200)
}
