import * as Y from 'yjs'
import { isMeeting, readField } from '@/lib/board'
import { newId } from '@/lib/core/id'
import { parseRoomName } from '@/lib/sync/room-name'
import type { SessionState } from '@/lib/sync/states'
import { isAside, kitBeside, parseAside } from './aside-room'
import type { ClientStore, Draft, LostMeeting, MovedRoom, RoomContent } from './client-store'
import { fetchFresh, GONE, type FreshRoom } from './fetch-fresh'
import { fieldWords, type WordsFrom } from './field-words'
import { applyStored } from './idb-rows'
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
  /** The kit's document once this phone's copy is the server's; null when the rooms were closed meanwhile. */
  kit: () => Promise<Y.Doc | null>
  /** The kit's document as it is now. */
  kitNow: () => Y.Doc | null
  /** Put a client that begins with `seed` in the place of another; null when nobody holds that one any more. */
  replace: (old: RoomClient, seed: RoomContent) => RoomClient | null
  /** They are in the device's store already. */
  keepDrafts: (drafts: readonly Draft[]) => void
  onSession: (session: SessionState) => void
}

/** What the server has of a room. */
type Server = FreshRoom | typeof GONE

/** ms between two beginnings of one room: what makes the first one useless may well be there still. */
const PATIENCE = 5_000

/**
 * [S23] Begins rooms anew from the server's document, with this phone's own edits written anew or kept as drafts. The device's store changes
 * over in one transaction, so that a page that is killed at any moment holds the one life or the other; then the open client is replaced, and
 * with it whatever was edited meanwhile is moved in the same way. Both are safe to do again: what stands there already is left alone, and a
 * draft's id says what it is about. The kit goes first: meetings refer to it.
 */
export class RoomMoves {
  readonly #o: RoomMovesParts
  readonly #stops = new Set<() => void>()
  readonly #lastAt = new Map<string, number>()
  readonly #begun = new WeakSet<RoomClient>()
  #walked: string | null = null
  /** Of the server's board, as far as it is known. */
  #generation = ''
  /** The kit as this phone knew it before: it has names that the server's may lack. */
  #kitBefore: Y.Doc | null = null

  constructor(parts: RoomMovesParts) {
    this.#o = parts
  }

  /** @param why `gone`: the server does not have this meeting */
  async begin(old: RoomClient, why: 'server' | 'elsewhere' | typeof GONE): Promise<void> {
    if (this.#begun.has(old)) return
    this.#begun.add(old)
    old.disconnect()
    if (why === 'elsewhere') return this.#handOver(old, null, null)
    const kit = old.room === 'kit' ? null : await this.#o.kit()
    if (old.isClosed || (old.room !== 'kit' && kit === null)) return
    const fresh = why === GONE ? GONE : await this.#fetchInTurn(old)
    // eslint-disable-next-line @typescript-eslint/no-unnecessary-condition -- it may have been closed while we waited
    if (!fresh || old.isClosed) return
    if (old.room === 'kit') this.#kitBefore = old.doc
    const life = fresh === GONE ? null : nextLife(old.life, fresh.generation)
    const made: { moved?: MovedRoom } = {}
    const isWritten = await this.#o.store.move(
      old.room,
      old.life,
      life,
      (stored) => (made.moved = this.#moved(old.room, stored, fresh, life, kit)),
    )
    await this.#handOver(old, fresh, life, isWritten ? made.moved : undefined)
  }

  async #fetchInTurn(old: RoomClient): Promise<Server | null> {
    const last = this.#lastAt.get(old.room)
    this.#lastAt.set(old.room, this.#o.now())
    const isSoon = last !== undefined && this.#o.now() - last < PATIENCE
    return isSoon && !(await this.#wait(PATIENCE)) ? null : this.#fetch(old.room)
  }

  async #fetch(room: string): Promise<Server | null> {
    const isExpected = () => this.#isOfKit(room)
    const fetching = fetchFresh(this.#o.createProvider, room, this.#o.onSession, isExpected)
    this.#stops.add(fetching.stop)
    const fresh = await fetching.done
    this.#stops.delete(fetching.stop)
    return fresh
  }

  /** Whether the kit, unsent edits included, knows the meeting of this room. */
  #isOfKit(room: string): boolean {
    const [doc, name] = [this.#o.kitNow(), parseRoomName(room)]
    if (!doc || name?.kind !== 'meeting') return true
    return isMeeting({ field: (_doc, ...path) => readField(doc, ...path) }, name.meetingId)
  }

  /**
   * The kit is the server's, of this generation. A meeting that is open, and that the server does not have, is told and let go; then every
   * room of the device that no page opens is walked, once for each generation.
   *
   * @returns whether rooms were walked
   */
  async look(generation: string, open: readonly RoomClient[]): Promise<boolean> {
    this.#generation = generation
    for (const room of open) if (room.isStranded && !this.#isOfKit(room.room)) void this.begin(room, GONE)
    if (this.#walked === generation) return false
    this.#walked = generation
    const names = new Set(open.map((room) => room.room))
    const stored = await this.#o.store.rooms()
    const isOther = (life: Life | null) => life !== null && generationOf(life) !== generation
    // Past memberships first the meetings: their kit names what is in them.
    const due = stored
      .filter(({ room, life }) => isAside(room) || (room !== 'kit' && !names.has(room) && isOther(life)))
      .sort((a, b) => Number(a.room === kitBeside(a.room)) - Number(b.room === kitBeside(b.room)))
    for (const { room, life } of due) {
      const kit = await this.#o.kit()
      const fresh = await this.#fetch(parseAside(room)?.room ?? room)
      if (!kit || !fresh) {
        this.#walked = null
        return false
      }
      await (isAside(room) ? this.#settleAside(room, life, fresh) : this.#moveStored(room, life, fresh, kit))
      this.#o.keepDrafts(await this.#o.store.drafts())
    }
    return due.length > 0
  }

  #moveStored(room: string, from: Life | null, fresh: Server, kit: Y.Doc): Promise<unknown> {
    const life = fresh === GONE ? null : nextLife(from, fresh.generation)
    return this.#o.store.move(room, from, life, (stored) => this.#moved(room, stored, fresh, life, kit))
  }

  /** [S23] Who had joined here before is nobody on this board, or somebody else: all that is theirs alone becomes drafts. */
  async #settleAside(room: string, from: Life | null, fresh: Server): Promise<void> {
    const past = parseAside(room)
    if (!past) return
    const kit = docOf(await this.#o.store.read(kitBeside(room), 0))
    await this.#o.store.move(room, from, null, (stored) => {
      const before = docOf(stored)
      const what = fresh === GONE ? 'all' : whatMoves(from, fresh.generation)
      const plan = this.#plan(past.room, heldIn(stored, before), fresh, null, what, past.name)
      const words = { room: past.room, doc: before, kit: past.room === 'kit' ? before : kit }
      const drafts = this.#drafts(words, plan, `${this.#generation} ${room}`, fresh)
      before.destroy()
      return { update: null, pending: [], own: [], drafts }
    })
    kit.destroy()
  }

  stop(): void {
    this.#walked = null
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
  #moved(room: string, stored: RoomContent, fresh: Server, life: Life | null, kit: Y.Doc | null): MovedRoom {
    const before = docOf(stored)
    const plan = this.#plan(room, heldIn(stored, before), fresh, kit, whatMoves(stored.life, life))
    const names = { room, doc: before, kit: room === 'kit' ? before : (this.#kitBefore ?? kit) }
    const drafts = this.#drafts(names, plan, life ?? this.#generation, fresh)
    before.destroy()
    if (fresh === GONE || life === null) return { update: null, pending: [], own: [], drafts }
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
      // What this phone wrote before and the server still has is its own after the next restore too.
      own: [...stillThere(stored.own, fresh.doc), ...(plan.writes.length > 0 ? [doc.clientID] : [])],
      drafts,
    }
    doc.destroy()
    return moved
  }

  /**
   * @param moved what this tab has just written to the device's store. Then nothing is waited for: until the new document is there, what is edited is in
   * the old one alone, which the store does not take any more.
   */
  async #handOver(
    old: RoomClient,
    fresh: Server | null,
    life: Life | null,
    moved?: MovedRoom,
  ): Promise<void> {
    const stored =
      moved?.update && life !== null
        ? contentOf(old.room, moved, moved.update, life)
        : await this.#o.store.read(old.room, 0)
    // Where the device stores nothing (or can't now), the page goes on with what the server sent.
    const isThere = stored.life !== null && stored.life !== old.life
    const seed = isThere || !fresh ? stored : fresh === GONE ? NOTHING : seedOf(old, fresh, life)
    // From here on in one turn: what is edited before is in the old document, what is edited later in the new one.
    const next = this.#o.replace(old, seed)
    if (!next) return old.close()
    const kit = old.room === 'kit' ? null : this.#o.kitNow()
    const server =
      fresh === GONE && !isThere ? GONE : { doc: next.doc, generation: generationOf(next.life ?? '') }
    const plan = isThere
      ? this.#plan(old.room, old.heldHere, server, kit, 'unsent')
      : this.#plan(old.room, old.held, server, kit, whatMoves(old.life, next.life))
    makeWrites(next.doc, plan.writes, 'moved')
    const words = { room: old.room, doc: old.doc, kit: this.#kitBefore ?? kit }
    const drafts = this.#drafts(words, plan, next.life ?? this.#generation, server)
    for (const draft of drafts) this.#o.store.addDraft(draft)
    old.close()
    this.#o.keepDrafts([...(await this.#o.store.drafts()).filter((d) => d.room === old.room), ...drafts])
  }

  #plan(
    room: string,
    held: HeldRoom,
    fresh: Server,
    kit: Y.Doc | null,
    what: 'all' | 'unsent',
    past?: string,
  ): MovePlan {
    const kind = parseRoomName(room)?.kind ?? 'meeting'
    const doc = fresh === GONE ? new Y.Doc() : fresh.doc
    const plan = planMove(
      kind,
      held,
      { doc, kit: kind === 'kit' ? null : kit },
      {
        what,
        at: this.#o.now(),
        ...(fresh === GONE && { onlyTell: UNSENT_MEETING_GONE, savedReason: SAVED_MEETING_GONE }),
        ...(past !== undefined && {
          onlyTell: `Made by ${past} before this phone joined again, and never sent.`,
        }),
      },
    )
    if (fresh === GONE) doc.destroy()
    return plan
  }

  /** The same loss has the same id, whichever tab tells it and however often. */
  #drafts(from: WordsFrom & { doc: Y.Doc }, plan: MovePlan, life: string, fresh: Server): Draft[] {
    const { room } = from
    const meeting = fresh === GONE ? meetingIn(from.doc) : undefined
    return plan.lost.flatMap((rejection) => {
      const { path, attempted } = rejection
      if (!path) return []
      const words = fieldWords(from, path, attempted ?? undefined)
      const id = [life, room, path.collection, path.recordId, path.field].join('|')
      return [{ id, room, rejection, words, ...(meeting && { meeting }) }]
    })
  }
}

const SAVED_MEETING_GONE =
  'It was saved. Then the board was restored from an older backup that does not have this meeting.'
const UNSENT_MEETING_GONE =
  'It was not sent yet when the board was restored from an older backup that does not have this meeting.'
const NOTHING: RoomContent = { updates: [], pending: [], life: null, own: [] }

/** Within one generation the server has whatever it acknowledged: only what was never sent is at stake. */
const whatMoves = (before: Life | null, after: Life | null): 'all' | 'unsent' =>
  before !== null && after !== null && generationOf(before) === generationOf(after) ? 'unsent' : 'all'

function docOf({ updates }: RoomContent): Y.Doc {
  const doc = new Y.Doc()
  for (const row of updates) applyStored(doc, row, null)
  return doc
}

const heldIn = ({ pending, life, own }: RoomContent, doc: Y.Doc): HeldRoom => ({
  doc,
  pending,
  own: life === null ? null : new Set(own),
})

function seedOf({ room, held }: RoomClient, fresh: FreshRoom, life: Life | null): RoomContent {
  const update = Y.encodeStateAsUpdateV2(fresh.doc)
  const own = stillThere(held.own ?? [], fresh.doc)
  return { updates: [{ id: 0, room, encoding: 2, update, local: false }], pending: [], life, own }
}

const contentOf = (room: string, moved: MovedRoom, update: Uint8Array, life: Life): RoomContent => ({
  updates: [{ id: 0, room, encoding: 2, update, local: moved.pending.length > 0 }],
  pending: moved.pending,
  life,
  own: moved.own,
})

/** Those of these clientIDs under which the server has anything. */
const stillThere = (own: Iterable<number>, doc: Y.Doc): number[] =>
  [...own].filter((client) => Y.getState(doc.store, client) > 0)

function meetingIn(doc: Y.Doc): LostMeeting {
  const of = (field: string) => readField(doc, 'meeting', 'meeting', field)
  const [name, startsAt, zone, trackId] = [of('name'), of('startsAt'), of('zone'), of('trackId')]
  return {
    ...(typeof name === 'string' && { name }),
    ...(typeof startsAt === 'number' && { startsAt }),
    ...(typeof zone === 'string' && { zone }),
    ...(typeof trackId === 'string' && { trackId }),
  }
}
