import * as Y from 'yjs'
import { newId } from '@/lib/core/id'
import { parseRoomName } from '@/lib/sync/room-name'
import type { SessionState } from '@/lib/sync/states'
import type { ClientStore, Draft, MovedRoom, RoomContent } from './client-store'
import { fetchFresh, type FreshRoom } from './fetch-fresh'
import { fieldWords } from './field-words'
import { applyStored } from './idb-store'
import { generationOf, nextLife, type Life } from './life'
import { makeWrites, planMove, type HeldRoom, type MovePlan } from './move-plan'
import { fieldKey } from './pending-keys'
import type { RoomClient } from './room-client'
import type { ProviderFactory } from './room-provider'

export interface RoomMovesParts {
  store: ClientStore
  createProvider: ProviderFactory
  /** ms */
  now: () => number
  /** The kit's document as this phone holds it, for the names of what is in it. */
  kit: () => Y.Doc | null
  /** Put a client that begins with `seed` in the place of another; null when nobody holds that one any more. */
  replace: (old: RoomClient, seed: RoomContent) => RoomClient | null
  /** They are in the device's store already. */
  keepDrafts: (drafts: readonly Draft[]) => void
  onSession: (session: SessionState) => void
}

/** ms between two beginnings of one room: what makes the first one useless may well be there still. */
const PATIENCE = 5_000

/**
 * [S23] Begins rooms anew from the server's document, with this phone's own edits written anew or kept as drafts. The device's store changes
 * over in one transaction, so that a page that is killed at any moment holds the one life or the other; then the open client is replaced, and
 * with it whatever was edited meanwhile is moved in the same way. Both are safe to do again: what stands there already is left alone, and a
 * draft's id says what it is about.
 */
export class RoomMoves {
  readonly #o: RoomMovesParts
  readonly #stops = new Set<() => void>()
  readonly #lastAt = new Map<string, number>()

  constructor(parts: RoomMovesParts) {
    this.#o = parts
  }

  async begin(old: RoomClient, why: 'server' | 'elsewhere'): Promise<void> {
    old.disconnect()
    if (why === 'elsewhere') return this.#handOver(old, null, null)
    const last = this.#lastAt.get(old.room)
    this.#lastAt.set(old.room, this.#o.now())
    if (last !== undefined && this.#o.now() - last < PATIENCE && !(await this.#wait(PATIENCE))) return
    const fetching = fetchFresh(this.#o.createProvider, old.room, this.#o.onSession)
    this.#stops.add(fetching.stop)
    const fresh = await fetching.done
    this.#stops.delete(fetching.stop)
    if (!fresh || old.isClosed) return
    const life = nextLife(old.life, fresh.generation)
    await this.#o.store.move(old.room, old.life, life, (stored) => this.#moved(old.room, stored, fresh, life))
    await this.#handOver(old, fresh, life)
  }

  stop(): void {
    for (const stop of this.#stops) stop()
    this.#stops.clear()
  }

  #wait(ms: number): Promise<boolean> {
    return new Promise((resolve) => {
      const end = (done: boolean) => {
        clearTimeout(timer)
        this.#stops.delete(stop)
        resolve(done)
      }
      const timer = setTimeout(() => end(true), ms)
      const stop = () => end(false)
      this.#stops.add(stop)
    })
  }

  /** What takes the place of everything that the device stores of a room. */
  #moved(room: string, stored: RoomContent, fresh: FreshRoom, life: Life): MovedRoom {
    const before = docOf(stored)
    const plan = this.#plan(
      room,
      { doc: before, pending: stored.pending, own: stored.life === null ? null : new Set(stored.own) },
      fresh.doc,
      whatMoves(stored.life, life),
    )
    const doc = new Y.Doc()
    Y.applyUpdate(doc, Y.encodeStateAsUpdate(fresh.doc))
    makeWrites(doc, plan.writes, null)
    const moved: MovedRoom = {
      update: Y.encodeStateAsUpdateV2(doc),
      pending: plan.writes.map((w) => ({
        key: fieldKey(w.collection, w.recordId, w.field),
        token: `moved-${newId<'touch'>()}`,
        base: { was: w.before },
      })),
      own: plan.writes.length > 0 ? [doc.clientID] : [],
      drafts: this.#drafts(room, plan, before, life),
    }
    before.destroy()
    doc.destroy()
    return moved
  }

  async #handOver(old: RoomClient, fresh: FreshRoom | null, life: Life | null): Promise<void> {
    const stored = await this.#o.store.read(old.room, 0)
    // Where the device stores nothing (or can't now), the page goes on with what the server sent.
    const isThere = stored.life !== null && stored.life !== old.life
    const seed = isThere || !fresh ? stored : seedOf(old.room, fresh, life)
    // From here on in one turn: what is edited before is in the old document, what is edited later in the new one.
    const next = this.#o.replace(old, seed)
    if (!next) return old.close()
    const plan = isThere
      ? this.#plan(old.room, old.heldHere, next.doc, 'unsent')
      : this.#plan(old.room, old.held, next.doc, whatMoves(old.life, next.life))
    makeWrites(next.doc, plan.writes, 'moved')
    const drafts = this.#drafts(old.room, plan, old.doc, next.life ?? '')
    for (const draft of drafts) this.#o.store.addDraft(draft)
    old.close()
    this.#o.keepDrafts([...(await this.#o.store.drafts()).filter((d) => d.room === old.room), ...drafts])
  }

  #plan(room: string, held: HeldRoom, server: Y.Doc, what: 'all' | 'unsent'): MovePlan {
    return planMove(parseRoomName(room)?.kind ?? 'meeting', held, server, what, this.#o.now())
  }

  /** The same loss has the same id, whichever tab tells it and however often. */
  #drafts(room: string, plan: MovePlan, doc: Y.Doc, life: Life): Draft[] {
    const kit = room === 'kit' ? doc : this.#o.kit()
    return plan.lost.flatMap((rejection) => {
      const { path, attempted } = rejection
      if (!path) return []
      const words = fieldWords({ room, doc, kit }, path, attempted ?? undefined)
      return [
        { id: [life, room, path.collection, path.recordId, path.field].join('|'), room, rejection, words },
      ]
    })
  }
}

/** Within one generation the server has whatever it acknowledged: only what was never sent is at stake. */
const whatMoves = (before: Life | null, after: Life | null): 'all' | 'unsent' =>
  before !== null && after !== null && generationOf(before) === generationOf(after) ? 'unsent' : 'all'

function docOf({ updates }: RoomContent): Y.Doc {
  const doc = new Y.Doc()
  for (const row of updates) applyStored(doc, row, null)
  return doc
}

function seedOf(room: string, fresh: FreshRoom, life: Life | null): RoomContent {
  const update = Y.encodeStateAsUpdateV2(fresh.doc)
  return { updates: [{ id: 0, room, encoding: 2, update, local: false }], pending: [], life, own: [] }
}
