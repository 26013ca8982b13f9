import type { Clock } from '@/lib/core/clock'
import type { Disposer } from '../join/live-session'
import { emptyBatch, type CommitBatch, type Store } from '../storage/store'
import type { SyncLog } from './sync-log'
import type { Timers } from './timers'

/** A room, as the commit sees it. */
export interface TurnMember {
  readonly room: string
  /** Work off what arrived in this turn and say what must be on disk before anybody may know. */
  prepare(): CommitBatch
  /** It is on disk. */
  settle(): void
  /** It is not: forget it. */
  rollback(reason: string): void
  /** More of it is on disk than it was told. */
  reread(): void
  /** Writing works again. */
  resume(): void
}

/** After this long without a turn the next work is not expected to have company, ms. */
const QUIET_MS = 5
const FIRST_PROBE_MS = 500
const LAST_PROBE_MS = 4_000
/** How often it is looked whether the board is still on the disk when nobody edits, ms. */
const LOOK_MS = 1_000
/** A Yjs update that changes nothing: proof that the disk takes writes. */
const NOTHING = Uint8Array.of(0, 0)

/**
 * [S7] Group commit: what all rooms accepted in one event-loop turn becomes one transaction on disk, and only then do the rooms broadcast
 * and acknowledge. When it fails, every room forgets the turn and turns read-only; a probe finds out when writing works again.
 */
export class GroupCommit {
  readonly #dirty = new Set<TurnMember>()
  readonly #members = new Set<TurnMember>()
  #scheduled = false
  #endedAt = -Infinity
  #running = false
  #reason: string | null = null
  #stopProbe: Disposer | null = null
  readonly #stopLooking: Disposer
  turns = 0
  failures = 0

  constructor(
    readonly store: Store,
    readonly clock: Clock,
    readonly log: SyncLog,
    readonly timers: Timers,
    readonly onCommit: (ms: number) => void = () => undefined,
  ) {
    this.#stopLooking = timers.every(LOOK_MS, () => {
      if (this.#reason !== null || this.#running) return
      const failure = this.#look()
      if (failure !== null) this.#fail(failure)
    })
  }

  /** Why nothing can be written, or null. */
  get readOnly(): string | null {
    return this.#reason
  }

  join(member: TurnMember): Disposer {
    this.#members.add(member)
    return () => {
      this.#members.delete(member)
      this.#dirty.delete(member)
    }
  }

  /** The member has work; all work of an event-loop turn is done together at its end. */
  request(member: TurnMember): void {
    this.#dirty.add(member)
    if (this.#scheduled) return
    this.#scheduled = true
    const flush = () => this.flush()
    // A lone edit after a quiet moment is worked off as soon as its socket has been read; whatever comes in a rush is gathered.
    if (this.timers.steady() - this.#endedAt > QUIET_MS) this.timers.soon(flush)
    else this.timers.turn(flush)
  }

  /** The member has work that can wait until the sockets have been read again. */
  requestLater(member: TurnMember): void {
    this.#dirty.add(member)
    if (this.#scheduled) return
    this.#scheduled = true
    this.timers.turn(() => this.flush())
  }

  /** Do the waiting work now. */
  flush(): void {
    if (this.#running) return
    this.#scheduled = false
    if (this.#dirty.size === 0) return
    this.#running = true
    // The kit first: what meetings look up in it is then up to date.
    const members = [...this.#dirty].sort((a, b) => Number(b.room === 'kit') - Number(a.room === 'kit'))
    this.#dirty.clear()
    try {
      const batch = emptyBatch()
      for (const m of members) {
        const part = m.prepare()
        batch.updates.push(...part.updates)
        batch.authors.push(...part.authors)
        for (const entry of part.audit) batch.audit.push(entry)
        batch.alongside.push(...(part.alongside ?? []))
      }
      this.turns++
      const failure = this.#commit(batch)
      for (const m of members) if (failure === null) m.settle()
      if (failure !== null) this.#fail(failure)
    } finally {
      this.#running = false
      this.#endedAt = this.timers.steady()
    }
  }

  close(): void {
    this.#stopLooking()
    this.#stopProbe?.()
  }

  #commit(batch: Required<CommitBatch>): string | null {
    if (Object.values(batch).every((part: readonly unknown[]) => part.length === 0))
      // An acknowledgement of what was stored earlier; while read-only there are none.
      return this.#reason === null ? this.#look() : null
    const before = this.timers.steady()
    try {
      this.store.commit(batch)
      return null
    } catch (e) {
      this.log.error({ err: e }, 'the board could not be written')
      return reasonOf(e)
    } finally {
      this.onCommit(this.timers.steady() - before)
    }
  }

  /** [S26] Why what is on disk is not to be relied on, or null. */
  #look(): string | null {
    try {
      this.store.check()
      return null
    } catch (e) {
      this.log.error({ err: e }, 'the board is no longer where it was opened')
      return reasonOf(e)
    }
  }

  /** Rooms with turns that were called failed and are stored after all. */
  #found(): readonly string[] {
    try {
      return this.store.takeFound()
    } catch (e) {
      this.log.error({ err: e }, 'what became of a commit could not be found out')
      return []
    }
  }

  #fail(reason: string): void {
    this.failures++
    this.#reason = reason
    for (const m of [...this.#members]) m.rollback(reason)
    this.#probeIn(FIRST_PROBE_MS)
  }

  #probeIn(ms: number): void {
    this.#stopProbe?.()
    this.#stopProbe = this.timers.after(ms, () => {
      const found = this.#found()
      for (const m of [...this.#members]) if (found.includes(m.room)) m.reread()
      const room = [...this.#members][0]?.room
      const updates = room === undefined ? [] : [{ room, update: NOTHING, at: this.clock.now() }]
      const failure = this.#commit({ ...emptyBatch(), updates })
      if (failure !== null) {
        this.#reason = failure
        return this.#probeIn(Math.min(ms * 2, LAST_PROBE_MS))
      }
      this.#stopProbe = null
      this.#reason = null
      this.log.info({}, 'the board can be written again')
      for (const m of [...this.#members]) m.resume()
    })
  }
}

/** What people are told; a database error knows how to say it. */
export const reasonOf = (e: unknown): string =>
  e instanceof Error
    ? 'reason' in e && typeof e.reason === 'string'
      ? e.reason
      : e.message
    : 'the board could not be written'
