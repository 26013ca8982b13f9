import type { Clock } from '@/lib/core/clock'
import type { Disposer } from '../join/live-session'
import { emptyBatch, type CommitBatch, type CommitUnderWay, type Store } from '../storage/store'
import type { SyncLog } from './sync-log'
import type { Timers } from './timers'

/** A room, as the commit sees it. */
export interface TurnMember {
  readonly room: string
  /** [P4] Whether what arrived can be judged on top of a turn that is not on disk yet. */
  canBuildOn(): boolean
  /** Work off what arrived in this turn and say what must be on disk before anybody may know. */
  prepare(): CommitBatch
  /** The oldest turn that was not is on disk. */
  settle(): void
  /** Nothing more of what was prepared will be on disk: forget it. */
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

/** A batch that was handed in: written already, or under way. */
type Begun = { commit: CommitUnderWay | null; since: number } | { failure: string }

/** What rooms have prepared, to be written together. */
interface Prepared {
  members: readonly TurnMember[]
  batch: Required<CommitBatch>
}

/**
 * [S7] Group commit: what all rooms accepted in one event-loop turn becomes one transaction on disk, and only then do the rooms broadcast
 * and acknowledge. When it fails, every room forgets the turn and turns read-only; a probe finds out when writing works again.
 *
 * [P4] Where the store answers later, one turn more is judged while a commit is under way. It is handed in when that one is on disk, and
 * forgotten with it when it fails.
 */
export class GroupCommit {
  readonly #dirty = new Set<TurnMember>()
  readonly #members = new Set<TurnMember>()
  #scheduled = false
  #endedAt = -Infinity
  #running = false
  /** With the store. */
  #underWay: (Prepared & { commit: CommitUnderWay; since: number }) | null = null
  /** Judged on top of it. */
  #next: Prepared | null = null
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
      if (this.#reason !== null || this.#running || this.#underWay) return
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
    // A lone edit after a quiet moment is worked off as soon as its socket has been read; whatever comes in a rush is gathered.
    this.#schedule(this.timers.steady() - this.#endedAt > QUIET_MS)
  }

  /** The member has work that can wait until the sockets have been read again. */
  requestLater(member: TurnMember): void {
    this.#dirty.add(member)
    this.#schedule(false)
  }

  #schedule(isSoon: boolean): void {
    if (this.#scheduled) return
    this.#scheduled = true
    const flush = () => this.flush()
    if (isSoon) this.timers.soon(flush)
    else this.timers.turn(flush)
  }

  /** Do the waiting work now, as far as a commit under way lets it. */
  flush(): void {
    if (this.#running) return
    this.#scheduled = false
    if (this.#dirty.size === 0 || this.#next) return
    this.#run(() => {
      const prepared = this.#prepare()
      if (this.#underWay) this.#next = prepared
      else if (prepared) this.#took(prepared, this.#begin(prepared.batch))
    })
  }

  /** [P4] Wait for what is under way, and for what was judged on top of it: then the rooms hold what is on disk and nothing else. */
  drain(): void {
    if (this.#running || !this.#underWay) return
    this.#run(() => {
      while (this.#underWay) this.#land()
    })
  }

  /** Do all waiting work, and wait for it. */
  finish(): void {
    this.drain()
    this.flush()
    this.drain()
  }

  #run(work: () => void): void {
    this.#running = true
    try {
      work()
    } finally {
      this.#running = false
      this.#endedAt = this.timers.steady()
    }
    if (!this.#next && this.#due().length > 0) this.#schedule(false)
  }

  #prepare(): Prepared | null {
    const members = this.#due()
    if (members.length === 0) return null
    const batch = emptyBatch()
    for (const m of members) {
      this.#dirty.delete(m)
      const part = m.prepare()
      batch.updates.push(...part.updates)
      batch.authors.push(...part.authors)
      for (const entry of part.audit) batch.audit.push(entry)
      batch.alongside.push(...(part.alongside ?? []))
    }
    this.turns++
    return { members, batch }
  }

  /** The kit first: what meetings look up in it is then up to date. */
  #due(): TurnMember[] {
    const due = [...this.#dirty].sort((a, b) => Number(b.room === 'kit') - Number(a.room === 'kit'))
    if (!this.#underWay) return due
    const waits = due.filter((m) => !m.canBuildOn())
    return waits.some((m) => m.room === 'kit') ? [] : due.filter((m) => !waits.includes(m))
  }

  /** `begun`: what became of handing it in. */
  #took(prepared: Prepared, begun: Begun): void {
    if ('failure' in begun) return this.#fail(begun.failure, prepared.members)
    if (begun.commit === null) {
      for (const m of prepared.members) m.settle()
      return
    }
    const underWay = { ...prepared, commit: begun.commit, since: begun.since }
    this.#underWay = underWay
    begun.commit.whenDone(() => {
      if (this.#underWay === underWay) this.#run(() => this.#land())
    })
  }

  /** Take in what became of the commit under way; waits for it. */
  #land(): void {
    const underWay = this.#underWay
    const next = this.#next
    if (!underWay) return
    const failure = this.#outcomeOf(underWay)
    this.#underWay = null
    this.#next = null
    if (failure !== null) return this.#fail(failure, [...underWay.members, ...(next?.members ?? [])])
    // The database is at the next one while the rooms tell of this one.
    const begun = next && this.#begin(next.batch)
    try {
      for (const m of underWay.members) m.settle()
    } finally {
      if (begun) this.#took(next, begun)
    }
  }

  close(): void {
    this.#stopLooking()
    this.#stopProbe?.()
  }

  #begin(batch: Required<CommitBatch>): Begun {
    const since = this.timers.steady()
    if (Object.values(batch).every((part: readonly unknown[]) => part.length === 0)) {
      // An acknowledgement of what was stored earlier; while read-only there are none.
      const failure = this.#reason === null ? this.#look() : null
      return failure === null ? { commit: null, since } : { failure }
    }
    const { store } = this
    let commit: CommitUnderWay | null = null
    const failure = this.#trying(since, () => {
      if (store.begin) commit = store.begin(batch)
      else store.commit(batch)
      return commit === null
    })
    return failure === null ? { commit, since } : { failure }
  }

  #outcomeOf({ commit, since }: { commit: CommitUnderWay; since: number }): string | null {
    return this.#trying(since, () => {
      commit.land()
      return true
    })
  }

  /** Why a write failed, or null. `write` says whether it has come to its end. */
  #trying(since: number, write: () => boolean): string | null {
    let isDone = true
    try {
      isDone = write()
      return null
    } catch (e) {
      this.log.error({ err: e }, 'the board could not be written')
      return reasonOf(e)
    } finally {
      if (isDone) this.onCommit(this.timers.steady() - since)
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

  /** `prepared`: members that had something in it, of which one that broke meanwhile is no longer among all. */
  #fail(reason: string, prepared: readonly TurnMember[] = []): void {
    this.failures++
    this.#reason = reason
    for (const m of new Set([...this.#members, ...prepared])) m.rollback(reason)
    this.#probeIn(FIRST_PROBE_MS)
  }

  #written(batch: Required<CommitBatch>): string | null {
    if (batch.updates.length === 0) return null
    return this.#trying(this.timers.steady(), () => {
      this.store.commit(batch)
      return true
    })
  }

  #probeIn(ms: number): void {
    this.#stopProbe?.()
    this.#stopProbe = this.timers.after(ms, () => {
      const found = this.#found()
      for (const m of [...this.#members]) if (found.includes(m.room)) m.reread()
      const room = [...this.#members][0]?.room
      const updates = room === undefined ? [] : [{ room, update: NOTHING, at: this.clock.now() }]
      const failure = this.#written({ ...emptyBatch(), updates })
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
