import * as Y from 'yjs'
import type { Role } from '@/lib/core/role'
import { MemoryStore } from '@/server/storage/memory-store'
import type { Claims } from '@/server/sync/claimant'
import { Guard, type Author, type GuardParts, type Verdict } from '@/server/sync/guard'
import type { BoardReader, GuardRules } from '@/server/sync/guard-rules'
import { DEFAULT_LIMITS, type Limits } from '@/server/sync/limits'
import { RefusalBudget } from '@/server/sync/refusal-budget'
import { RoomDoc } from '@/server/sync/room-doc'
import { StoredBudget } from '@/server/sync/stored-budget'
import { vetUpdate, type VettedUpdate } from '@/server/sync/vet-update'
import { smallRules } from './small-rules'
import { boardOf } from './sync-desk'

export const ROOM = 'meeting-m1'

export const author = (role: Role, personId: string = role): Author => ({
  personId,
  deviceId: `phone of ${personId}`,
  role,
})

/** The guard of one meeting's document, without sockets or turns. Its time stands still, or is the test's. */
export function guardBench(
  o: { rules?: GuardRules; limits?: Partial<Limits>; steady?: () => number; now?: () => number } = {},
) {
  const rules = o.rules ?? smallRules
  const limits = { ...DEFAULT_LIMITS, refusedBytesPerHour: 1e9, ...o.limits }
  const board = new RoomDoc(new MemoryStore(), ROOM, rules.collections('meeting'))
  const steady = o.steady ?? (() => 0)
  const reader: BoardReader = {
    field: (doc, collection, id, field) =>
      doc === 'meeting' ? board.read(collection, `${id}:${field}`) : undefined,
    ids: (doc, collection) => (doc === 'meeting' ? board.ids(collection, rules.parseKey) : []),
  }
  const parts: GuardParts = {
    room: ROOM,
    kind: 'meeting',
    rules,
    reader,
    clock: { now: o.now ?? (() => Date.UTC(2031, 4, 3, 9)) },
    limits,
    refusals: new RefusalBudget(limits, steady),
    stored: new StoredBudget(steady),
    steady,
  }
  const guard = new Guard(parts)
  return {
    board,
    parts,
    guard,
    /** Judge an update as one turn; gives the verdict, and what of it would be stored and sent (null: nothing). */
    judge: (bytes: Uint8Array, by: Author, o: { mayWait?: boolean; claims?: Claims } = {}) => {
      let verdict!: Verdict
      const sent = board.transact((tr) => {
        verdict = guard.update(tr, board, bytes, by, o.claims, o.mayWait)
      })
      return { verdict, sent }
    },
    /** An edit by the server, likewise; `failure` is what it threw. */
    serverEdit: (edit: (doc: Y.Doc) => void) => {
      let verdict: Verdict | null = null
      let failure: unknown
      const sent = board.transact((tr) => {
        try {
          verdict = guard.serverEdit(tr, board, edit)
        } catch (e) {
          failure = e
        }
      })
      return { verdict: verdict as Verdict | null, failure, sent }
    },
    vetted: (bytes: Uint8Array): VettedUpdate => {
      const vetted = vetUpdate(bytes, board.doc, limits)
      if (!vetted.ok) throw new Error(vetted.reason)
      return vetted.value
    },
    /** The board as everybody is shown it. */
    shown: () => boardOf(board.doc),
    /** A page that holds what the board holds now, under a clientID of its own. */
    page: (clientID?: number) => {
      const doc = new Y.Doc()
      Y.applyUpdate(doc, Y.encodeStateAsUpdate(board.doc))
      // Only now: Yjs takes another clientID when it meets its own.
      if (clientID !== undefined) doc.clientID = clientID
      return doc
    },
  }
}

/** An edit that writes a note's text. */
export const note =
  (id: string, text: unknown = 'x') =>
  (doc: Y.Doc) =>
    void doc.getMap('notes').set(`${id}:text`, text)

/** Rules in which a note's text comes early while `isEarly` says so. */
export const earlyNotes = (isEarly: () => boolean) => ({
  ...smallRules,
  early: { doc: 'meeting' as const, collection: 'notes', field: 'text', isOne: () => true, isEarly },
})

/** What an edit adds to a page, as its phone would send it. */
export function newsOf(doc: Y.Doc, edit: (doc: Y.Doc) => void): Uint8Array {
  const parts: Uint8Array[] = []
  const hear = (update: Uint8Array) => void parts.push(update)
  doc.on('update', hear)
  edit(doc)
  doc.off('update', hear)
  return Y.mergeUpdates(parts)
}
