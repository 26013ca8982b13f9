import * as Y from 'yjs'
import { hereAs } from '@/lib/core/zone'
import type { BoardView } from '@/lib/board'
import { meetingFacts, runTexts, SeasonIndex, valueTexts, withKit, type MeetingFacts } from '@/lib/season'
import { formatRoomName } from '@/lib/sync/room-name'
import type { ClientStore } from '@/app/sync/client-store'
import type { FreshRoom } from '@/app/sync/fetch-fresh'
import { applyStored } from '@/app/sync/idb-rows'
import { generationOf } from '@/app/sync/life'
import { printOf, type FactsCache, type FreshFacts } from './facts-cache'
import { answerSeason } from './season-answer'
import { UNKNOWN_MEETING, type KnownMeeting } from './known-meeting'
import { namesOfKit } from './names-of-kit'
import { lookAtSeason, type SeasonLook } from './season-look'
import type { SeasonMeeting, SeasonNews, SeasonOrder } from './season-messages'
import { seasonWords } from './season-words'
import { lookOnce, readingOf, StoredRoom } from './stored-room'

/** What the season's thread works with. */
export interface SeasonParts {
  store: Pick<ClientStore, 'read' | 'rooms' | 'append' | 'settled' | 'onRing' | 'signal'>
  cache: Pick<FactsCache, 'all' | 'keep'>
  /** The server's document; `gone` where it has none, null where it was stopped or refused. */
  fetch: (room: string) => { done: Promise<FreshRoom | 'gone' | null>; stop: () => void }
  tell: (news: SeasonNews) => void
  now: () => number
  /** ms since the epoch */
  date: () => number
  /** Runs after a moment; a later call takes the place of one that waits. Several edits make one reading. */
  soon: (run: () => void) => void
  /** Lets the thread hear what was asked meanwhile. */
  pause: () => Promise<void>
}

/** A meeting of several days, and what is entered the day after. Our choice. */
const MAY_GO_ON_MS = 5 * 86_400_000

/** What is asked meanwhile waits so long, ms of a phone's work. */
const SLICE_MS = 20

const roomOf = (meetingId: string) => formatRoomName({ kind: 'meeting', meetingId })

/**
 * The season in a thread of its own: reads what this device stores, asks the server for the meetings that it does not, one after another, and answers the screen.
 * What is written on any page of the device arrives by the store's bell.
 */
export class SeasonWork {
  readonly #p: SeasonParts
  readonly #meetings = new Map<string, KnownMeeting>()
  readonly #rung = new Set<string>()
  /** To be fetched although they are here. */
  readonly #old = new Set<string>()
  readonly #bells = new Map<string, () => void>()
  #kitRoom: StoredRoom
  /** Where the store holds none. */
  #fetchedKit: BoardView | null = null
  #index = new SeasonIndex(
    () => new Map(),
    () => '',
  )
  #names = ''
  #isRead = false
  #isOnline = false
  #fetching: (() => void) | null = null
  #tookMs = 0
  readonly #looks = new Map<string, SeasonLook>()
  #waiting: Extract<SeasonOrder, { kind: 'ask' }> | null = null
  #busy: Promise<void>

  constructor(parts: SeasonParts) {
    this.#p = parts
    this.#kitRoom = new StoredRoom(parts.store, 'kit')
    this.#busy = this.#begin()
  }

  take(order: SeasonOrder): void {
    if (order.kind === 'ask') {
      this.#waiting = order
      if (this.#isRead) this.#answer()
    } else if (order.kind === 'look') {
      if (order.look) this.#looks.set(order.key, order.look)
      else this.#looks.delete(order.key)
      if (this.#isRead) this.#show(order.key)
    } else if (order.kind === 'keep') this.#then(() => this.#keep(order.meetingId))
    else {
      this.#isOnline = order.isOnline
      if (!order.isOnline) this.#fetching?.()
      // The screen is there again, or the network: what came without a bell is looked for.
      for (const room of this.#bells.keys()) this.#rung.add(room)
      this.#then(() => this.#follow())
      if (!order.isOnline) return
      this.#then(() => this.#markOld())
      this.#then(() => this.#fetchAway())
    }
  }

  /** Resolves when nothing is left to do. */
  async settled(): Promise<void> {
    let seen: Promise<void> | null = null
    while (seen !== this.#busy) await (seen = this.#busy)
  }

  /** One job after another. */
  #then(job: () => Promise<void> | void) {
    this.#busy = this.#busy
      .then(job)
      .catch((e: unknown) =>
        this.#p.tell({ kind: 'trouble', why: e instanceof Error ? e.message : String(e) }),
      )
  }

  get #kit(): BoardView {
    return this.#fetchedKit ?? this.#kitRoom.view()
  }

  async #begin(): Promise<void> {
    const { store, cache, now } = this.#p
    const began = now()
    this.#hear('kit')
    const [stored, known] = await Promise.all([store.rooms(), cache.all(), this.#kitRoom.pull()])
    const rooms = new Map(stored.map((r) => [r.room, r]))
    this.#list()
    // All of them are read here and now.
    for (const id of this.#meetings.keys()) this.#rung.delete(roomOf(id))
    const fresh: FreshFacts[] = []
    await Promise.all(
      [...this.#meetings].map(async ([meetingId, meeting]) => {
        const room = roomOf(meetingId)
        const here = rooms.get(room)
        if (!here) return
        const print = printOf(here)
        const { life, last } = here
        const kept = known.get(room)
        if (kept?.print === print) {
          const facts = JSON.parse(kept.facts) as MeetingFacts
          return void Object.assign(meeting, { facts, place: 'stored', bytes: kept.bytes, life, last })
        }
        const { updates } = await store.read(room, 0)
        const facts = lookOnce(room, filled(updates), meetingFacts)
        const bytes = updates.reduce((sum, u) => sum + u.update.byteLength, 0)
        fresh.push({ room, print, facts, bytes })
        Object.assign(meeting, { facts, place: 'stored', bytes, life, last })
      }),
    )
    this.#rebuild()
    this.#isRead = true
    this.#tookMs = now() - began
    this.#tellAll()
    const gone = [...known.keys()].filter((room) => !rooms.has(room))
    if (fresh.length + gone.length > 0) this.#then(() => cache.keep(fresh, gone))
  }

  /** What is written of the runs is taken apart once they are shown, a little at a time; who searches meanwhile has the rest of it done at once. */
  #prepare() {
    this.#then(async () => {
      const { now, pause, tell } = this.#p
      let tookMs = 0
      for (let isLeft = true; isLeft; await pause()) {
        const began = now()
        do isLeft = this.#index.prepare()
        while (isLeft && now() - began < SLICE_MS)
        tookMs += now() - began
      }
      tell({ kind: 'searchable', tookMs })
    })
  }

  /** The kit's meetings; those that it has no more are forgotten. */
  #list() {
    const listed = new Set(this.#kit.meetings.live.map((m) => m.id))
    for (const id of listed)
      if (!this.#meetings.has(id)) {
        this.#meetings.set(id, { ...UNKNOWN_MEETING })
        this.#hear(roomOf(id))
        // It may be one that came back, and stored all the while.
        this.#rung.add(roomOf(id))
      }
    for (const [id, meeting] of this.#meetings) {
      if (listed.has(id)) continue
      meeting.room?.close()
      this.#meetings.delete(id)
      this.#index.removeMeeting(id)
      this.#bells.get(roomOf(id))?.()
      this.#bells.delete(roomOf(id))
    }
  }

  /** Everything under the names that the kit has now. */
  #rebuild() {
    const kit = this.#kit
    this.#names = namesOfKit(kit)
    this.#index = new SeasonIndex(runTexts(kit, seasonWords), valueTexts(kit, seasonWords))
    for (const [id, { facts }] of this.#meetings)
      if (facts) this.#index.setMeeting(id, withKit(kit, id, facts), facts.columns)
    this.#prepare()
  }

  #put(meetingId: string, facts: MeetingFacts) {
    const meeting = this.#meetings.get(meetingId)
    if (!meeting) return
    meeting.facts = facts
    this.#index.setMeeting(meetingId, withKit(this.#kit, meetingId, facts), facts.columns)
  }

  #hear(room: string) {
    const stop = this.#p.store.onRing(room, () => {
      this.#rung.add(room)
      this.#p.soon(() => this.#then(() => this.#follow()))
    })
    this.#bells.set(room, stop)
  }

  /** Take in what was written on this device since. */
  async #follow(): Promise<void> {
    if (this.#rung.size === 0) return
    if (this.#rung.delete('kit')) {
      await this.#kitRoom.pull()
      if (!this.#kitRoom.isEmpty) this.#fetchedKit = null
      this.#list()
      // Packs and sets change all day; their names, and everything else that runs are found by, hardly do.
      if (namesOfKit(this.#kit) !== this.#names) this.#rebuild()
    }
    const rung = [...this.#rung]
    this.#rung.clear()
    for (const [id, meeting] of this.#meetings) {
      if (!rung.includes(roomOf(id))) continue
      const { updates, life } = await this.#p.store.read(roomOf(id), meeting.last)
      // Most rooms are looked at because the screen came back, and nobody has touched them.
      if (updates.length === 0 && (life === meeting.life || life === null)) continue
      await this.#pull(id, meeting)
      const { room } = meeting
      if (!room || room.isEmpty) continue
      Object.assign(meeting, {
        place: 'stored',
        held: null,
        bytes: room.bytes,
        last: room.last,
        life: room.life,
      })
      this.#put(id, meetingFacts(room.view()))
    }
    this.#tellAll()
    if (this.#isOnline) this.#then(() => this.#fetchAway())
  }

  async #pull(id: string, meeting: KnownMeeting): Promise<StoredRoom> {
    meeting.room ??= new StoredRoom(this.#p.store, roomOf(id))
    await meeting.room.pull()
    return meeting.room
  }

  /** What this device does not store is fetched, the latest meeting first; nothing of it is stored unless asked for. */
  async #fetchAway(): Promise<void> {
    if (!this.#isOnline) return
    if (this.#kitRoom.isEmpty && !this.#fetchedKit) {
      const kit = await this.#get('kit')
      if (kit === null || kit === 'gone') return
      this.#fetchedKit = readingOf('kit', kit.doc).view()
      this.#list()
      this.#rebuild()
      this.#tellAll()
    }
    const wanted = this.#kit.meetings.live
      .filter((m) => this.#meetings.get(m.id)?.place === 'away' || this.#old.has(m.id))
      .sort((a, b) => (b.startsAt ?? 0) - (a.startsAt ?? 0))
    for (const { id } of wanted) {
      const meeting = this.#meetings.get(id)
      if (!meeting || (meeting.place !== 'away' && !this.#old.has(id))) continue
      const { place } = meeting
      if (place === 'away') {
        meeting.place = 'coming'
        this.#tellMeetings()
      }
      const got = await this.#get(roomOf(id))
      if (place === 'away') meeting.place = got === 'gone' ? 'gone' : 'away'
      if (got === null) return this.#tellMeetings()
      this.#old.delete(id)
      if (got !== 'gone') await this.#takeFetched(id, meeting, got)
      this.#tellAll()
    }
  }

  async #takeFetched(id: string, meeting: KnownMeeting, { doc, generation }: FreshRoom): Promise<void> {
    const update = Y.encodeStateAsUpdate(doc)
    if (meeting.place === 'stored' && meeting.life !== null && generationOf(meeting.life) === generation) {
      // This device may hold edits that the server does not have yet.
      const room = await this.#pull(id, meeting)
      room.take(update)
      return this.#put(id, meetingFacts(room.view()))
    }
    if (meeting.place !== 'stored')
      Object.assign(meeting, { place: 'held', held: { update, generation }, bytes: update.byteLength })
    this.#put(id, lookOnce(roomOf(id), doc, meetingFacts))
  }

  /** A meeting that may be under way is not what it was when it was fetched, or last open on this device. */
  #markOld() {
    const since = this.#p.date() - MAY_GO_ON_MS
    for (const [id, m] of this.#meetings)
      if ((m.place === 'held' || m.place === 'stored') && (m.facts?.startsAt ?? Infinity) > since)
        this.#old.add(id)
  }

  async #get(room: string): Promise<FreshRoom | 'gone' | null> {
    const { done, stop } = this.#p.fetch(room)
    this.#fetching = stop
    const got = await done
    this.#fetching = null
    return got
  }

  /** Into the device's store, as if the meeting had been opened here. */
  async #keep(meetingId: string): Promise<void> {
    const meeting = this.#meetings.get(meetingId)
    if (!meeting?.held) return
    const { store } = this.#p
    const { update, generation } = meeting.held
    const room = roomOf(meetingId)
    const { updates, life } = await store.read(room, 0)
    if (life !== null && generationOf(life) !== generation)
      throw new Error('the board was restored meanwhile: open the meeting once, then it is kept')
    if (updates.length === 0) {
      store.append(room, update, [], { life: life ?? generation, clientId: 0 })
      await store.settled()
      if (store.signal.state !== 'stored')
        throw new Error('this phone has no room for it, or its storage does not answer')
    }
    Object.assign(meeting, { place: 'stored', held: null })
    this.#tellMeetings()
  }

  #tellAll() {
    this.#tellMeetings()
    this.#answer()
    for (const key of this.#looks.keys()) this.#show(key)
  }

  #tellMeetings() {
    const meetings = this.#kit.meetings.live.map((m): SeasonMeeting => {
      const known = this.#meetings.get(m.id)
      return {
        meetingId: m.id,
        name: m.name ?? known?.facts?.name ?? 'Unnamed meeting',
        day: firstDayOf(m) ?? firstDayOf(known?.facts) ?? null,
        place: known?.place ?? 'away',
        bytes: known?.bytes ?? null,
        runIds: known?.facts?.runs.map((r) => r.runId) ?? [],
      }
    })
    this.#p.tell({ kind: 'meetings', meetings, isRead: this.#isRead, tookMs: this.#tookMs })
  }

  #show(key: string) {
    const look = this.#looks.get(key)
    if (look) this.#p.tell({ kind: 'seen', key, seen: lookAtSeason(this.#index.runs, look) })
  }

  #answer() {
    if (!this.#waiting) return
    const { n, question } = this.#waiting
    this.#p.tell({ kind: 'answer', n, answer: answerSeason(this.#index, this.#kit, question, this.#p.now) })
  }
}

function filled(updates: readonly Parameters<typeof applyStored>[1][]): Y.Doc {
  const doc = new Y.Doc()
  for (const row of updates) applyStored(doc, row, 'store')
  return doc
}

const firstDayOf = (m: { startsAt?: number | null; zone?: string | null } | null | undefined) =>
  m?.startsAt == null ? null : hereAs(m.startsAt, m.zone)
