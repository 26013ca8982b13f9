import { AHEAD_MS } from '@/lib/board'
import { MAX_UPDATE_BYTES } from '@/lib/core/update-size'

/** How much one socket, session or room may ask of the server. Defaults fit a team's pit; all are settings of `createSyncServer`. */
export interface Limits {
  /** Largest update frame, bytes [S2]. */
  frameBytes: number
  /** Largest answer to the server's own sync question (a phone that comes back from hours offline), bytes. */
  answerBytes: number
  /** Largest question (a state vector: about 7 bytes for each page that ever wrote), bytes. */
  vectorBytes: number
  /** Hard limit of a websocket message, bytes; beyond it the socket is closed without reading on. */
  messageBytes: number
  /** Structs in one update. */
  structsPerUpdate: number
  /** Structs of one update that are taken in in one turn; the rest follows in the next ones [S25]. */
  structsPerTurn: number
  /** Levels of arrays and objects inside one value. */
  valueDepth: number
  /** Bytes that may wait in a socket's send buffer before its backlog is dropped [S10]. */
  backlogBytes: number
  /** A socket that can't take its resync for this long is closed, ms. */
  slowCloseMs: number
  /** Refused frames within `offenceWindowMs` after which a socket is closed [S2]. */
  offences: number
  offenceWindowMs: number
  /** Lines of refused edits that one person may write into the audit trail per minute. */
  refusedAuditPerMinute: number
  /** How far ahead of the server's clock the time of a stamp may be, ms [S4]. */
  stampAheadMs: number
  /** Characters of attempted values that may go with them, per hour. */
  attemptedPerHour: number
  /** What one person's refused edits may leave in documents for good, bytes per hour [S24]. */
  refusedBytesPerHour: number
  socketsPerSession: number
  /** The same for a guest's device. */
  socketsPerGuest: number
  /** Of one person on all devices. */
  socketsPerPerson: number
  /** Of all guests who came in by one invitation. */
  socketsPerGuestCode: number
  /** Sockets of all guests together. */
  guestSockets: number
  /** All sockets. The last fifth is kept for mechanics and managers, the last tenth for managers [S25]. */
  sockets: number
  /** One awareness state as JSON, bytes. */
  presenceBytes: number
  /** Stored updates after which a room's snapshot is renewed. */
  compactAfter: number
  /** A room without sockets is unloaded after this, ms. */
  idleUnloadMs: number
  /** Ping interval; a socket that stays silent for three of them is dropped, ms. */
  heartbeatMs: number
}

export const DEFAULT_LIMITS: Limits = {
  frameBytes: MAX_UPDATE_BYTES,
  // A whole message less its head: an import made offline comes as one answer.
  answerBytes: 4 * 1024 * 1024 - 64,
  vectorBytes: 128 * 1024,
  messageBytes: 4 * 1024 * 1024,
  structsPerUpdate: 40_000,
  structsPerTurn: 500,
  valueDepth: 16,
  backlogBytes: 1024 * 1024,
  slowCloseMs: 60_000,
  offences: 10,
  offenceWindowMs: 60_000,
  refusedAuditPerMinute: 300,
  stampAheadMs: AHEAD_MS,
  attemptedPerHour: 512 * 1024,
  refusedBytesPerHour: 16 * 1024,
  socketsPerSession: 24,
  socketsPerGuest: 8,
  socketsPerPerson: 72,
  socketsPerGuestCode: 240,
  guestSockets: 400,
  sockets: 1_000,
  presenceBytes: 4096,
  compactAfter: 1_000,
  idleUnloadMs: 60_000,
  heartbeatMs: 10_000,
}

/** A bucket that fills with time. Times in ms of any steady clock. */
export class TokenBucket {
  #tokens: number
  #at: number
  constructor(
    readonly perSecond: number,
    readonly burst: number,
    now: number,
  ) {
    this.#tokens = burst
    this.#at = now
  }
  /** Take tokens, going into debt if need be. */
  take(n: number, now: number): void {
    this.#fill(now)
    this.#tokens -= n
  }
  left(now: number): number {
    this.#fill(now)
    return this.#tokens
  }
  /** Take one token if there is one. */
  tryTake(now: number): boolean {
    this.#fill(now)
    if (this.#tokens < 1) return false
    this.#tokens--
    return true
  }
  #fill(now: number): void {
    this.#tokens = Math.min(this.burst, this.#tokens + (Math.max(0, now - this.#at) / 1000) * this.perSecond)
    this.#at = now
  }
}

/** Counts events in a sliding window. */
export class WindowCounter {
  #times: number[] = []
  constructor(readonly windowMs: number) {}
  /** Count one event and return how many the window holds. */
  add(now: number): number {
    this.#times = this.#times.filter((t) => now - t < this.windowMs)
    this.#times.push(now)
    return this.#times.length
  }
}
