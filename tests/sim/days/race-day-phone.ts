import { WebsocketProvider } from 'y-websocket'
import type * as Y from 'yjs'
import * as Yjs from 'yjs'
import { IdbStore } from '@/app/sync/idb-store'
import { localJournal } from '@/app/sync/left-journal'
import { fieldKey } from '@/app/sync/pending-keys'
import type { RoomClient } from '@/app/sync/room-client'
import type { RoomProvider } from '@/app/sync/room-provider'
import { SyncClient } from '@/app/sync/sync-client'
import type { SessionAnswer } from '@/app/sync/sync-snapshot'
import { formatKey } from '@/lib/board'
import type { LiveSession } from '@/server/join/live-session'
import type { Ledger } from './ledger'
import type { PhoneDisk } from './phone-disk'
import type { LineEnd, SimulatedLine } from './simulated-line'
import { SimulatedSocket, type SocketPlace } from './simulated-socket'
import { Actor, type SimulatedTime } from './simulated-time'
import { MEETING, OWN_COLLECTION, valuesIn } from './values'

export interface PhoneWorld {
  readonly time: SimulatedTime
  readonly ledger: Ledger
  /** Call the board for this phone. */
  dial(phone: RaceDayPhone, url: string, end: LineEnd): SimulatedLine | null
  /** Whether an HTTP request would be answered. */
  reaches(phone: RaceDayPhone): boolean
}

/** A page on a phone, until it is left or killed. */
interface Page {
  client: SyncClient
  store: IdbStore
  place: { isGone: boolean }
}

const FIELD = 'about'

/** One device with the browser's own code: client, provider and store. Its store outlives its pages; the network and the screen are simulated. */
export class RaceDayPhone {
  readonly actor: Actor
  readonly lines = new Set<SimulatedLine>()
  isPartitioned = false
  #page: Page | null = null
  #count = 0
  readonly #own = new Map<string, number>()
  readonly #looked = new WeakSet<Y.Doc>()

  constructor(
    readonly world: PhoneWorld,
    readonly session: LiveSession,
    readonly disk: PhoneDisk,
    /** How far off its clock is, ms. */
    readonly skew: number,
  ) {
    this.actor = new Actor(world.time, this.name)
  }

  get name(): string {
    return this.session.personId
  }
  get isOpen(): boolean {
    return this.#page !== null
  }
  get client(): SyncClient | null {
    return this.#page?.client ?? null
  }

  visit(): void {
    if (this.#page) return
    const place: SocketPlace & { isGone: boolean } = {
      actor: this.actor,
      isGone: false,
      dial: (url, end) => this.world.dial(this, url, end),
      heard: (payload) => this.world.ledger.trace(`${this.name} hears ${payload.toString('base64')}`),
    }
    class Socket extends SimulatedSocket {
      constructor(url: string) {
        super(place, url)
      }
    }
    const store = new IdbStore({ name: this.name, journal: localJournal(() => this.disk.storage) })
    const client = new SyncClient({
      store,
      createProvider: (room, doc) =>
        new WebsocketProvider('ws://board/sync', room, doc, {
          connect: false,
          disableBc: true,
          maxBackoffTime: 4000,
          WebSocketPolyfill: Socket as unknown as typeof globalThis.WebSocket,
        }) as unknown as RoomProvider,
      askSession: () => this.#askSession(),
      device: () => Math.floor(this.world.time.now) + this.skew,
    })
    this.#page = { client, store, place }
    void client.start().then(() => client.openMeeting(MEETING))
  }

  /** The page is closed as people close pages: what was edited this very moment is put where no promise is needed. */
  leave(): void {
    this.#page?.client.leave()
    this.kill()
  }
  /** The page is gone in the middle of whatever it did. */
  kill(): void {
    const page = this.#page
    this.#page = null
    if (!page) return
    page.place.isGone = true
    for (const line of this.lines) line.leave(0)
    this.lines.clear()
    page.client.close()
    this.disk.end()
  }

  lookAgain(): void {
    this.#page?.client.lookAgain()
  }

  /** Write the next value into one of this phone's own fields. False where there is no board to write on. */
  editOwn(slot: number): boolean {
    const key = formatKey(`${this.name}-${slot}`, FIELD)
    const n = this.#write(OWN_COLLECTION, key, '')
    if (n !== null) this.#own.set(key, n)
    return n !== null
  }
  editShared(slot: number): void {
    this.#write(OWN_COLLECTION, formatKey(`shared-${slot}`, FIELD), '')
  }
  /** A value that nobody else may ever see. */
  editForbidden(collection: string, recordId: string, field: string): void {
    this.#write(collection, formatKey(recordId, field), '!')
  }
  #write(collection: string, key: string, mark: string): number | null {
    const doc = this.#meeting?.doc
    if (!doc) return null
    const n = ++this.#count
    this.world.ledger.trace(`${this.name} writes ${mark}${n}`)
    doc.getMap(collection).set(key, `${mark}${this.name}#${n}`)
    return n
  }
  get #meeting(): RoomClient | null {
    return this.#page?.client.meetingBoard?.meeting ?? null
  }

  /** After anything that happened here: what is in the document, and what the screen says of it. */
  look(): void {
    const meeting = this.#meeting
    const page = this.#page
    if (!meeting || !page) return
    const { ledger } = this.world
    if (!this.#looked.has(meeting.doc)) {
      this.#looked.add(meeting.doc)
      const see = (update: Uint8Array) => {
        for (const value of valuesIn(update)) ledger.seen(this.name, value)
      }
      see(Yjs.encodeStateAsUpdate(meeting.doc))
      meeting.doc.on('update', see)
    }
    const isKept = page.store.signal.state === 'stored'
    const notes = meeting.doc.getMap(OWN_COLLECTION)
    for (const key of this.#own.keys()) {
      const [, n = '0'] = String(notes.get(key)).split('#')
      if (Number(n) === 0) continue
      if (isKept) ledger.kept(key, Number(n))
      if (meeting.markOf(fieldKey(OWN_COLLECTION, ...(key.split(':') as [string, string]))) === 'saved')
        ledger.calledSaved(this.name, key, Number(n))
    }
  }

  /** Connected, and nothing is only here. */
  get isSettled(): boolean {
    const snapshot = this.#page?.client.snapshot()
    return (
      snapshot?.meeting?.connection === 'live' && this.#meeting?.isCurrent === true && snapshot.pending === 0
    )
  }
  board(): Record<string, unknown> {
    return this.#meeting?.doc.getMap(OWN_COLLECTION).toJSON() ?? {}
  }
  describe(): string {
    const snapshot = this.#page?.client.snapshot()
    return `${this.name}: ${snapshot?.membership.state}, kit ${snapshot?.kit?.connection}, meeting ${snapshot?.meeting?.connection} ${JSON.stringify(snapshot?.meeting?.roomState)}, ${snapshot?.pending} pending, store ${snapshot?.store.state}`
  }

  #askSession(): Promise<SessionAnswer> {
    const { sessionId: _, ...session } = this.session
    return new Promise((resolve) => {
      setTimeout(
        () => resolve(this.world.reaches(this) ? { reached: true, session } : { reached: false }),
        30,
      )
    })
  }
}
