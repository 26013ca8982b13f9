import * as Y from 'yjs'
import type { Rejection } from '@/lib/sync/states'
import type { AuditEntry, HistoryQuery, Store } from '../storage/store'
import type { GuardParts } from './guard'
import type { GuardRules } from './guard-rules'
import type { RoomDoc } from './room-doc'
import type { SyncSocket } from './sync-socket'
import type { DeleteRanges } from './vet-update'

/** Fields looked up in the audit trail for one phone that comes back; the attempted values of further ones are not told. */
const MAX_LOOKUPS = 500
const LAST_ENTRIES = 20

/** What the turn in hand has judged so far, which is not in the audit trail yet; `from` null: the server's own edit. */
export interface Judged {
  from: SyncSocket | null
  entry: AuditEntry
}

/** Where a refusal that went missing is looked for. */
export interface RefusalTrail {
  history: Store['history']
  /** Of the turn in hand, oldest first. */
  judged: readonly Judged[]
}

/**
 * [S6] Refusals that a phone has not heard of. Its edit reached the server and was snapped back, but the socket (or the server) went before
 * the refusal got through. Such a phone still holds as alive an item of its person's that is deleted here; the audit trail knows why, or
 * the turn in hand when the old socket's edit and the new socket's answer came together. Where neither does (a phone's refusals are
 * audited only so fast), the document shows that the item itself was taken back.
 */
export function missedRefusals(
  board: RoomDoc,
  trail: RefusalTrail,
  { room, rules, clock }: Pick<GuardParts, 'room' | 'rules' | 'clock'>,
  to: SyncSocket,
  vector: Uint8Array,
  deletes: DeleteRanges,
): Rejection[] {
  const { session } = to
  const isOwn = (e: AuditEntry) => e.personId === session.personId && e.deviceId === session.deviceId
  const missed: Rejection[] = []
  let inHand: Map<string, Judged> | null = null
  let lookups = 0
  for (const { path, key, takenBack } of believedAlive(
    board,
    rules.parseKey,
    session.personId,
    vector,
    deletes,
  )) {
    inHand ??= new Map(trail.judged.filter((j) => isOwn(j.entry)).map((j) => [nameOf(j.entry), j]))
    const judged = inHand.get(nameOf(path))
    if (judged?.from === to) continue // this very socket is told
    const entry =
      judged?.entry ?? (lookups++ < MAX_LOOKUPS ? lookUp(trail, { room, ...path }).find(isOwn) : undefined)
    if (entry ? entry.outcome !== 'refused' : !takenBack) continue
    missed.push({
      kind: 'policy',
      path,
      attempted: entry?.after ?? null,
      restored: board.read(path.collection, key) ?? null,
      reason: 'It was refused before this phone lost its connection.',
      at: Math.min(entry?.at ?? Infinity, clock.now()),
    })
  }
  return missed
}

/** A trail that can't be read leaves what the document itself shows; the disk's trouble is told where something is written. */
function lookUp(trail: RefusalTrail, field: Omit<HistoryQuery, 'limit'>): AuditEntry[] {
  try {
    return trail.history({ ...field, limit: LAST_ENTRIES })
  } catch {
    return []
  }
}

type Path = Pick<AuditEntry, 'collection' | 'recordId' | 'field'>
const nameOf = ({ collection, recordId, field }: Path): string => `${collection}/${recordId}:${field}`

/** Keys at which the phone believes an item of this person's to be alive that is deleted on the board. */
function* believedAlive(
  board: RoomDoc,
  parseKey: GuardRules['parseKey'],
  personId: string,
  vector: Uint8Array,
  deletes: DeleteRanges,
): Generator<{ path: Path; key: string; takenBack: boolean }> {
  let has: Map<number, number>
  try {
    has = Y.decodeStateVector(vector)
  } catch {
    return
  }
  const seen = new Set<string>()
  for (const [client, end] of has) {
    if (board.authors.get(client) !== personId) continue
    for (const s of board.doc.store.clients.get(client) ?? []) {
      if (s.id.clock >= end) break
      if (!(s instanceof Y.Item) || !s.deleted || s.parentSub === null) continue
      const { parent, parentSub: key } = s
      if (
        Y.isDeleted(deletes, Y.createID(client, Math.min(s.lastId.clock, end - 1))) ||
        !parent ||
        parent instanceof Y.ID ||
        parent._item !== null
      )
        continue
      const { name } = board.nameOf(parent)
      const path = parseKey(key)
      if (!path || seen.has(`${name}/${key}`)) continue
      seen.add(`${name}/${key}`)
      yield { path: { collection: name, ...path }, key, takenBack: isTakenBack(board, s) }
    }
  }
}

/**
 * Nothing came in a deleted item's place, or the server's restored value took it: fields are never deleted otherwise, and an allowed edit
 * that lost against a restored value is in the audit trail.
 */
const isTakenBack = (board: RoomDoc, { right }: Y.Item): boolean =>
  right === null || right.id.client === board.restorerClient
