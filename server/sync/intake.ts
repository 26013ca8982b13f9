import type { LiveSession } from '../join/live-session'
import type { Budgets } from './budgets'
import type { Timers } from './timers'

/** One socket, as the intake sees it. */
export interface Source {
  readonly session: LiveSession
  readonly address: string | undefined
  readonly isOpen: boolean
  /** What it sent before is not done yet. */
  readonly isBehind: boolean
  /** Take in one message. */
  take(message: Uint8Array): void
  /** What a message will about take of the server's time, ms. */
  costOf(message: Uint8Array): number
  pause(): void
  resume(): void
}

/** Time that the messages of one event-loop turn may take, ms. What is left over waits for the next turn, after the sockets have been read again. */
const SLICE_MS = 8
/** Guests' messages are taken in after the crew's, and only while the turn has taken less than this. */
const GUESTS_SLICE_MS = 3
const GUESTS = 'guests'
/** How soon a socket is looked at again whose earlier work is not done, ms. */
const BEHIND_MS = 1
/** Bytes of a socket that may wait here before it is read no further. */
const AHEAD_BYTES = 64 * 1024

interface Line {
  source: Source
  waiting: Uint8Array[]
  bytes: number
  paused: boolean
}

/**
 * [S25] Where messages wait their turn. Nothing is dropped: whoever sends too much is read more slowly, and nobody else is. Messages are taken
 * in one from each lane in turn (a person of the crew has a lane; all guests share one), up to a slice of time for each event-loop turn.
 */
export class Intake {
  readonly #lines = new Map<Source, Line>()
  /** Lines with something waiting, by lane. The first lane is served next, and in it the first line. */
  readonly #lanes = new Map<string, Line[]>()
  readonly #laneNames = new WeakMap<Source, string>()
  #spent = 0
  #scheduled = false
  #stopWait: (() => void) | null = null

  constructor(
    readonly budgets: Budgets,
    readonly timers: Timers,
  ) {}

  /** A message has come. */
  arrive(source: Source, message: Uint8Array): void {
    let line = this.#lines.get(source)
    if (!line && this.#lanes.size === 0 && this.#hasTime(source) && this.#waitOf(source) === 0)
      return this.#serve(source, message)
    if (!line) {
      line = { source, waiting: [], bytes: 0, paused: false }
      this.#lines.set(source, line)
      const lane = this.#laneOf(source)
      const lines = this.#lanes.get(lane)
      if (lines) lines.push(line)
      else this.#lanes.set(lane, [line])
    }
    line.waiting.push(message)
    line.bytes += message.length
    if (!line.paused && (line.bytes > AHEAD_BYTES || this.budgets.waitOf(source) > 0)) {
      line.paused = true
      source.pause()
    }
    this.#schedule()
  }

  /** The socket has gone: what it sent and nobody read is refused. */
  forget(source: Source): void {
    const line = this.#lines.get(source)
    if (!line) return
    this.#lines.delete(source)
    this.#leave(this.#laneOf(source), line)
  }

  isWaiting(source: Source): boolean {
    return this.#lines.has(source)
  }

  /** Messages that wait. */
  get waiting(): number {
    let n = 0
    for (const line of this.#lines.values()) n += line.waiting.length
    return n
  }

  close(): void {
    this.#stopWait?.()
    this.#lines.clear()
    this.#lanes.clear()
  }

  #hasTime(source: Source): boolean {
    return this.#spent < (this.#laneOf(source) === GUESTS ? GUESTS_SLICE_MS : SLICE_MS)
  }

  #waitOf(source: Source): number {
    return Math.max(source.isBehind ? BEHIND_MS : 0, this.budgets.waitOf(source))
  }

  #serve(source: Source, message: Uint8Array): void {
    const expected = source.costOf(message)
    const before = this.timers.steady()
    source.take(message)
    const cost = Math.max(expected, this.timers.steady() - before)
    this.budgets.charge(source, cost)
    this.#spent += cost
    this.#schedule()
  }

  /** Once for each turn in which anything was taken in or waits. */
  #schedule(): void {
    if (this.#scheduled) return
    this.#scheduled = true
    this.timers.turn(() => this.#run())
  }

  #run(): void {
    this.#scheduled = false
    this.#spent = 0
    let inDebt = 0
    let soonest = Infinity
    // Each lane of the crew in turn; one that may not be served moves on as well, until none is left that may. Then the guests'.
    const guests = this.#lanes.get(GUESTS)
    this.#lanes.delete(GUESTS)
    while (this.#lanes.size > inDebt && this.#spent < SLICE_MS) {
      const [first] = this.#lanes
      if (!first) break
      const [lane, lines] = first
      this.#lanes.delete(lane)
      this.#lanes.set(lane, lines)
      const { line, wait } = this.#nextOf(lines)
      if (line) {
        inDebt = 0
        this.#serveNext(lane, line)
      } else {
        inDebt++
        soonest = Math.min(soonest, wait)
      }
    }
    if (guests) {
      this.#lanes.set(GUESTS, guests)
      const wait = this.#serveGuests(guests)
      if (wait > 0 && this.#lanes.has(GUESTS)) {
        inDebt++
        soonest = Math.min(soonest, wait)
      }
    }
    if (this.#lanes.size === 0) return
    if (this.#lanes.size > inDebt) return this.#schedule()
    this.#stopWait?.()
    this.#stopWait = this.timers.after(Math.max(1, Math.ceil(soonest)), () => this.#schedule())
  }

  /** At least one message, however busy the crew is; gives how long until one may be served when none may now, ms. */
  #serveGuests(lines: Line[]): number {
    do {
      const { line, wait } = this.#nextOf(lines)
      if (!line) return wait
      this.#serveNext(GUESTS, line)
    } while (lines.length > 0 && this.#spent < GUESTS_SLICE_MS)
    return 0
  }

  /** The first line of a lane that may be served, moved to the end; else how long until one may. */
  #nextOf(lines: Line[]): { line: Line | null; wait: number } {
    let soonest = Infinity
    for (let i = 0; i < lines.length; i++) {
      const line = lines.shift()
      if (!line) break
      lines.push(line)
      const wait = this.#waitOf(line.source)
      if (wait === 0) return { line, wait }
      soonest = Math.min(soonest, wait)
    }
    return { line: null, wait: soonest }
  }

  #serveNext(lane: string, line: Line): void {
    const message = line.waiting.shift()
    if (message) line.bytes -= message.length
    if (message && line.source.isOpen) this.#serve(line.source, message)
    if (line.waiting.length === 0) {
      this.#lines.delete(line.source)
      this.#leave(lane, line)
      // Debt or not: what comes next waits here for its turn, and stops the reading again.
      if (line.paused) line.source.resume()
    }
  }

  #leave(lane: string, line: Line): void {
    const lines = this.#lanes.get(lane)
    if (!lines) return
    const at = lines.indexOf(line)
    if (at >= 0) lines.splice(at, 1)
    if (lines.length === 0) this.#lanes.delete(lane)
  }

  /** A role may change while something waits; the lane must not. */
  #laneOf(source: Source): string {
    let lane = this.#laneNames.get(source)
    if (lane === undefined) {
      lane = source.session.role === 'guest' ? GUESTS : source.session.personId
      this.#laneNames.set(source, lane)
    }
    return lane
  }
}
