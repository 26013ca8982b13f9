import * as Y from 'yjs'
import type { Rejection } from '@/lib/sync/states'
import type { Store } from '../storage/store'
import type { GuardParts } from './guard'
import type { GuardRules } from './guard-rules'
import type { RoomDoc } from './room-doc'
import type { SyncSocket } from './sync-socket'
import type { DeleteRanges } from './vet-update'

/** Fields looked up in the audit trail for one phone that comes back. */
const MAX_LOOKUPS = 500
const LAST_ENTRIES = 20

/**
 * [S6] Refusals that a phone has not heard of. Its edit reached the server and was snapped back, but the socket (or the server) went before
 * the refusal got through. Such a phone still holds as alive an item of its person's that is deleted here; the audit trail knows why.
 */
export function missedRefusals(
  board: RoomDoc,
  store: Pick<Store, 'history'>,
  { room, rules, clock }: Pick<GuardParts, 'room' | 'rules' | 'clock'>,
  { session }: SyncSocket,
  vector: Uint8Array,
  deletes: DeleteRanges,
): Rejection[] {
  const missed: Rejection[] = []
  let lookups = 0
  for (const { collection, key, recordId, field } of believedAlive(
    board,
    rules.parseKey,
    session.personId,
    vector,
    deletes,
  )) {
    if (++lookups > MAX_LOOKUPS) break
    const entry = store
      .history({ room, collection, recordId, field, limit: LAST_ENTRIES })
      .find((e) => e.personId === session.personId && e.deviceId === session.deviceId)
    if (entry?.outcome !== 'refused') continue
    missed.push({
      kind: 'policy',
      path: { collection, recordId, field },
      attempted: entry.after,
      restored: board.read(collection, key) ?? null,
      reason: 'It was refused before this phone lost its connection.',
      at: Math.min(entry.at, clock.now()),
    })
  }
  return missed
}

/** Keys at which the phone believes an item of this person's to be alive that is deleted on the board. */
function* believedAlive(
  board: RoomDoc,
  parseKey: GuardRules['parseKey'],
  personId: string,
  vector: Uint8Array,
  deletes: DeleteRanges,
): Generator<{ collection: string; key: string; recordId: string; field: string }> {
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
      yield { collection: name, key, ...path }
    }
  }
}
