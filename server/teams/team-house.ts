import type { Logger } from 'pino'
import type { ServedBoard } from '../serve-board'
import { OneAfterAnother } from './one-after-another'
import { addStats, noStats } from './sum-stats'
import type { SyncStats } from '../sync/sync-surface'
import type { Timers } from '../sync/timers'

/** A board without sockets and requests is closed after this, ms. */
const IDLE_MS = 10 * 60_000
/** Addresses of no team that are remembered as open. Each costs some objects and no database. */
const MOST_EMPTY = 64
/** A board that could not be opened is tried again after this, ms. */
const TRY_AGAIN_MS = 2_000
/** Requests that are under way in a board that is closed get this long to end, ms. */
const GRACE_MS = 2_000
/** An opening that takes longer than this lets the next begin, ms. */
const TURN_MS = 300
/** Openings whose times are remembered. */
const SPANS = 6

/** A board that is open here. */
export interface Kept {
  board: ServedBoard
  /** Saved edits were lost, and nobody has read it yet. */
  hasNotice(): boolean
  close(): Promise<void>
}

export interface HouseParts {
  timers: Timers
  log: Logger
  /** Boards of teams that are open at once. */
  most: number
  isTeam: (address: string) => boolean
  openTeam: (address: string) => Promise<Kept>
  /** What an address of no team is answered by. */
  openEmpty: (address: string) => Promise<Kept>
  /** How long opening the empty board took, ms. */
  firstSpanMs: number
}

interface Entry {
  isTeam: boolean
  opening: Promise<Kept>
  kept: Kept | null
  failedAt: number | null
  /** Requests and sockets that are on their way into it. */
  busy: number
  onIdle: (() => void) | null
  askedAt: number
}

/** As many boards are open as may be, and all are in use. */
export class HouseFull extends Error {
  override readonly name = 'HouseFull'
}

class NotWanted extends Error {
  override readonly name = 'NotWanted'
}

/**
 * [P5] The boards of many teams in one process, each on a database of its own: opened when somebody comes, closed when nobody has come for some
 * time. Whoever asks at an address of no team is answered by a board that is as real, and empty: nothing tells the two apart.
 */
export class TeamHouse {
  readonly #p: HouseParts
  readonly #entries = new Map<string, Entry>()
  /** By address: it is not opened again before. */
  readonly #closing = new Map<string, Promise<void>>()
  readonly #spans: number[]
  /** Of boards that are closed. */
  readonly #past = noStats()
  /** Many are asked for at once where a process leads from now on: those that came first are to be served before the last is open. */
  readonly #openings: OneAfterAnother
  #isClosed = false

  constructor(parts: HouseParts) {
    this.#p = parts
    this.#spans = [parts.firstSpanMs]
    this.#openings = new OneAfterAnother(TURN_MS, parts.timers)
  }

  /** Do something with the board at an address, which stays open meanwhile. @throws whatever kept it from being opened */
  async use<T>(address: string, work: (board: ServedBoard) => T | Promise<T>): Promise<T> {
    for (;;) {
      const entry = this.#entry(address)
      entry.busy++
      try {
        const { board } = await entry.opening
        // Archived meanwhile, or made: it is another board's now.
        if (this.#entries.get(address) === entry) return await work(board)
      } catch (e) {
        if (!(e instanceof NotWanted) || this.#isClosed) throw e
      } finally {
        entry.askedAt = this.#p.timers.steady()
        if (--entry.busy === 0) entry.onIdle?.()
      }
    }
  }

  /** The list of teams may have changed: whoever is no team any more is shut out at once. */
  settle(): void {
    for (const [address, entry] of [...this.#entries]) {
      if (entry.isTeam === this.#p.isTeam(address)) continue
      if (entry.isTeam) entry.kept?.board.endSessions()
      this.#drop(address, entry)
    }
  }

  /** Close what nobody has used for a while. */
  tidy(): void {
    const before = this.#p.timers.steady() - IDLE_MS
    for (const [address, entry] of [...this.#entries])
      if (isUnused(entry) && entry.askedAt < before) this.#drop(address, entry)
  }

  /** Close a board that can't be used any more; the next who asks opens it anew. */
  drop(address: string): void {
    const entry = this.#entries.get(address)
    if (entry) this.#drop(address, entry)
  }

  /** The same for all addresses of no team. */
  dropEmpty(): void {
    for (const [address, entry] of [...this.#entries]) if (!entry.isTeam) this.#drop(address, entry)
  }

  stats(): SyncStats {
    const sum = { ...this.#past, edits: { ...this.#past.edits } }
    for (const { kept } of this.#entries.values()) if (kept) addStats(sum, kept.board.stats())
    return sum
  }

  hasNotice(): boolean {
    return [...this.#entries.values()].some((e) => e.kept?.hasNotice())
  }

  /** How many boards of teams are open. */
  get open(): number {
    return [...this.#entries.values()].filter((e) => e.isTeam).length
  }

  async closeSockets(): Promise<void> {
    this.#isClosed = true
    await Promise.all([...this.#entries.values()].map((e) => e.kept?.board.closeSockets()))
  }

  async close(): Promise<void> {
    this.#isClosed = true
    for (const [address, entry] of [...this.#entries]) this.#drop(address, entry)
    // A board that was still being opened is closed when it is open.
    while (this.#closing.size > 0) await Promise.all(this.#closing.values())
  }

  #entry(address: string): Entry {
    if (this.#isClosed) throw new Error('The house is closed')
    const now = this.#p.timers.steady()
    const known = this.#entries.get(address)
    if (known && (known.failedAt === null || now - known.failedAt < TRY_AGAIN_MS)) {
      known.askedAt = now
      return known
    }
    // The same for a team and for none.
    this.#makeRoom()
    const isTeam = this.#p.isTeam(address)
    const isWanted = (): boolean => !this.#isClosed && this.#entries.get(address) === entry
    const opening = this.#open(address, isTeam, isWanted)
    const entry: Entry = { isTeam, opening, kept: null, failedAt: null, busy: 0, onIdle: null, askedAt: now }
    this.#entries.set(address, entry)
    opening.then(
      (kept) => {
        if (this.#entries.get(address) === entry) entry.kept = kept
        else this.#close(address, entry, kept)
      },
      (e: unknown) => {
        entry.failedAt = this.#p.timers.steady()
        if (e instanceof NotWanted) return
        this.#p.log.error({ err: e, team: address }, 'a team’s board could not be opened')
      },
    )
    if (!isTeam) this.#forgetEmpty()
    return entry
  }

  async #open(address: string, isTeam: boolean, isWanted: () => boolean): Promise<Kept> {
    const { timers, openTeam, openEmpty } = this.#p
    while (this.#closing.has(address)) await this.#closing.get(address)
    if (isTeam)
      return this.#openings.do(async () => {
        // Archived, or everything closed, while others were opened.
        if (!isWanted()) throw new NotWanted('Nobody waits for this board any more')
        const before = timers.steady()
        const kept = await openTeam(address)
        this.#spans.push(timers.steady() - before)
        if (this.#spans.length > SPANS) this.#spans.shift()
        return kept
      })
    // It waits for the teams that are being opened, as another team would, and keeps none of them waiting.
    await this.#openings.idle()
    const before = timers.steady()
    const kept = await openEmpty(address)
    // A team's first visitor waits for it to be opened; so does this one, for as long as one of those lately.
    const span = this.#spans[Math.floor(Math.random() * this.#spans.length)] ?? 0
    const left = span - (timers.steady() - before)
    if (left > 1) await new Promise<void>((resolve) => void timers.after(left, resolve))
    return kept
  }

  /** @throws HouseFull */
  #makeRoom(): void {
    if (this.open < this.#p.most) return
    const longest = [...this.#entries]
      .filter(([, e]) => e.isTeam && isUnused(e))
      .sort(([, a], [, b]) => a.askedAt - b.askedAt)[0]
    if (!longest) throw new HouseFull('As many boards are in use as this server opens at once')
    this.#drop(...longest)
  }

  #forgetEmpty(): void {
    const unused = [...this.#entries]
      .filter(([, e]) => !e.isTeam && isUnused(e))
      .sort(([, a], [, b]) => a.askedAt - b.askedAt)
    const empty = [...this.#entries.values()].filter((e) => !e.isTeam).length
    for (const one of unused.slice(0, Math.max(0, empty - MOST_EMPTY))) this.#drop(...one)
  }

  #drop(address: string, entry: Entry): void {
    this.#entries.delete(address)
    if (entry.kept) return this.#close(address, entry, entry.kept)
    // It is still being opened, and closed when it is; whoever asks meanwhile waits for that.
    const gone = entry.opening.then(
      () => undefined,
      () => undefined,
    )
    this.#hold(address, gone)
  }

  #close(address: string, entry: Entry, kept: Kept): void {
    addStats(this.#past, { ...kept.board.stats(), rooms: 0, sockets: 0, readOnly: null })
    const idle = new Promise<void>((resolve) => {
      if (entry.busy === 0) return resolve()
      entry.onIdle = resolve
      this.#p.timers.after(GRACE_MS, resolve)
    })
    this.#hold(
      address,
      idle
        .then(() => kept.close())
        .catch((e: unknown) => {
          this.#p.log.error({ err: e, team: address }, 'a team’s board could not be closed in good order')
        }),
    )
  }

  #hold(address: string, work: Promise<void>): void {
    const all = Promise.all([this.#closing.get(address), work]).then(() => {
      if (this.#closing.get(address) === all) this.#closing.delete(address)
    })
    this.#closing.set(address, all)
  }
}

const isUnused = ({ busy, kept, failedAt }: Entry): boolean =>
  busy === 0 && (failedAt !== null || (kept !== null && kept.board.stats().sockets === 0))
