import * as Y from 'yjs'
import { never } from '@/lib/core/assert'
import { writeBarrier, writeRejection, writeRoomState, writeSession } from '@/lib/sync/frames'
import { CLOSE } from '@/lib/sync/close-codes'
import type { BoardVersion, Rejection } from '@/lib/sync/states'
import type { Disposer } from '../join/live-session'
import { emptyBatch, type CommitBatch, type Store } from '../storage/store'
import { BroadcastMessage } from './broadcast-message'
import { reasonOf, type GroupCommit, type TurnMember } from './commit'
import { Delivery } from './delivery'
import { addCounts, noCounts } from './edit-counts'
import { EARLY_LOOK_MS } from './early'
import { Guard, type GuardParts } from './guard'
import { doubted, holding } from './handshake'
import type { Limits } from './limits'
import { NotStored } from './not-stored'
import { Presence } from './presence'
import { PresenceRounds } from './presence-rounds'
import { RoomDoc } from './room-doc'
import { salvage, unstored } from './salvage'
import { writeQuestionFrame, writeUpdateFrame } from './sync-frames'
import type { SyncLog } from './sync-log'
import { identityOf, type SyncSocket } from './sync-socket'
import { answersLast, fairly, Turn, type Reply, type Work } from './turn'
import { Unsettled } from './unsettled'
import { Untold } from './untold'

export interface RoomParts {
  room: string
  store: Store
  commit: GroupCommit
  judging: GuardParts
  limits: Limits
  log: SyncLog
  /** What every phone is told at the start. */
  version: BoardVersion
  collections: readonly string[]
  /** A refused frame; true when the socket may stay. */
  offend: (socket: SyncSocket) => boolean
  close: (socket: SyncSocket, code: number, reason: string) => void
  /** The socket fell behind and waits for its resync. */
  lag: (socket: SyncSocket) => void
  steady: () => number
  later: (ms: number, run: () => void) => void
}

/** Questions that the server asks one socket at once after refusing its frames, per minute. */
const MAX_QUESTIONS = 3
const ASK_AGAIN_MS = 4_000

/** One document, everybody who has it open, and the work that arrived since the last turn. */
export class Room implements TurnMember {
  readonly room: string
  readonly sockets = new Set<SyncSocket>()
  readonly presence: Presence
  readonly counts = noCounts()
  #board: RoomDoc
  #inbox: Work[] = []
  readonly #unsettled = new Unsettled()
  #broken: Error | null = null
  readonly #untold = new Untold()
  /** What answering a question took lately, ms; most of it is encoding the document. */
  answerMs = 0.5
  readonly #guard: Guard
  readonly #delivery: Delivery
  readonly #rounds: PresenceRounds
  readonly #leaveCommit: Disposer

  /** Loads the document. @throws when the store can't. */
  constructor(readonly parts: RoomParts) {
    this.room = parts.room
    this.#guard = new Guard(parts.judging)
    this.presence = new Presence(parts.limits.presenceBytes, (client) => this.#board.authors.get(client))
    this.#board = new RoomDoc(parts.store, parts.room, parts.collections)
    const { lag, steady, later } = parts
    const request = () => parts.commit.request(this)
    this.#rounds = new PresenceRounds({
      presence: this.presence,
      sockets: this.sockets,
      steady,
      later,
      request,
    })
    this.#delivery = new Delivery({
      presence: this.presence,
      board: () => this.#board,
      vector: () => this.#unsettled.storedVector(this.#board),
      lag,
      steady,
    })
    this.#leaveCommit = parts.commit.join(this)
  }

  /** The document. It is as it is on disk when no commit is under way (see `GroupCommit.drain`). */
  get board(): RoomDoc {
    return this.#board
  }
  /** The document could be neither kept nor read again: whoever wants it must load it anew. */
  get isBroken(): boolean {
    return this.#broken !== null
  }
  get isIdle(): boolean {
    return this.sockets.size === 0 && this.#inbox.length === 0 && this.#unsettled.length === 0
  }

  add(socket: SyncSocket): void {
    this.sockets.add(socket)
    socket.startLag = () => this.#delivery.fallBehind(socket)
    socket.giveUp = () => this.parts.close(socket, CLOSE.tooSlow, 'The connection is too slow.')
    socket.control(writeSession({ state: 'active', ...identityOf(socket), board: this.parts.version }))
    socket.control(this.#stateFrame())
    // The question goes first: the client answers it before it merges our state, so that an edit that is about to lose still
    // arrives with its value and can be shown as overwritten.
    socket.control(this.#question())
    socket.control(this.presence.everybody())
  }

  remove(socket: SyncSocket): void {
    if (!this.sockets.delete(socket)) return
    socket.state = { state: 'closed' }
    this.presence.leave(socket)
    this.#inbox = this.#inbox.filter((w) => w.kind === 'edit' || w.from !== socket)
    this.touch()
  }

  enqueue(work: Work): void {
    if (work.kind === 'question') {
      // [S25] One at a time for each socket: the answer to the newest covers those before it.
      const waiting = this.#inbox.find((w) => w.kind === 'question' && w.from === work.from)
      if (waiting?.kind === 'question') return void (waiting.vector = work.vector)
    }
    if (work.kind === 'update' && this.parts.commit.readOnly !== null) {
      // Nothing is lost: once writing works again the server asks for what it lacks.
      this.#doubt(work.from)
      this.#inbox.push(...unstored(work, false))
    } else this.#inbox.push(work)
    this.parts.commit.request(this)
  }

  /** [S23] */
  hearGeneration(from: SyncSocket, generation: string): void {
    from.generation = generation === this.parts.version.generation ? 'present' : 'other'
  }

  /** Presence changed. */
  touch(): void {
    this.#rounds.touch()
  }

  /** [S2] A frame that was refused before it became work. */
  refuseFrame(from: SyncSocket, kind: Rejection['kind'], reason: string): void {
    this.#doubt(from)
    // An answer that came before it and has not had its turn makes nothing up for it.
    if (
      this.#unsettled.holdsAnswerOf(from) ||
      this.#inbox.some((w) => w.kind === 'update' && w.answer && w.from === from)
    )
      this.#inbox.push({ kind: 'doubt', from })
    this.#announceRefusal(from, kind, reason)
  }

  #doubt(socket: SyncSocket): void {
    socket.handshake = doubted(socket.handshake)
    this.#unsettled.doubt(socket)
  }

  /** It asks for all that is not on disk: what is on its way there may fail. */
  #question(): Uint8Array {
    return writeQuestionFrame(this.#unsettled.storedVector(this.#board))
  }

  #announceRefusal(from: SyncSocket, kind: Rejection['kind'], reason: string, laterMs?: number): void {
    this.counts.framesRefused++
    from.control(
      writeRejection({
        kind,
        path: null,
        attempted: null,
        restored: null,
        reason,
        at: this.parts.judging.clock.now(),
      }),
    )
    // Who may send it again later has done nothing wrong.
    if (laterMs !== undefined) return this.#askLater(from, laterMs)
    if (!this.parts.offend(from)) return
    if (kind === 'anew') return
    if (from.questions.add(this.parts.steady()) <= MAX_QUESTIONS) from.control(this.#question())
    // Whatever it sends next may be refused again for the same reason: ask more slowly, but do ask, or nothing is ever acknowledged.
    else this.#askLater(from, ASK_AGAIN_MS)
  }

  #askLater(from: SyncSocket, ms: number): void {
    if (from.willAsk) return
    from.willAsk = true
    this.parts.later(ms, () => {
      from.willAsk = false
      from.control(this.#question())
    })
  }

  canBuildOn(): boolean {
    // A snapshot that is due needs a moment in which nothing is under way.
    const rows = this.#board.rows + this.#unsettled.length
    return this.#unsettled.canBear(this.#inbox) && rows <= this.parts.limits.compactAfter
  }

  prepare(): CommitBatch {
    let work = this.#inbox
    this.#inbox = []
    for (;;) {
      if (this.#broken !== null) {
        for (const w of work) if (w.kind === 'edit') w.reject(this.#broken)
        return emptyBatch()
      }
      const turn = new Turn(
        work,
        this.#board,
        this.#guard,
        this.parts.judging,
        this.parts.store,
        this.presence,
        this.answerMs,
        this.#unsettled.handshakes,
      )
      const batch = turn.run()
      if (batch) {
        this.#unsettled.add(turn)
        return batch
      }
      // A bug met its update. The document may be half changed: take it from disk again and go on without that update.
      this.parts.log.error({ err: turn.fault, room: this.room }, 'an update broke the guard and was left out')
      work = work.flatMap((w, i) => (i !== turn.position ? [w] : unstored(w, true)))
      this.#reload()
      turn.refuseCulprit((socket) => this.refuseFrame(socket, 'malformed', 'The edits could not be read.'))
    }
  }

  settle(): void {
    const turn = this.#unsettled.shift()
    if (turn) {
      // Only now: had the turn failed, they would have to be told again.
      for (const [socket, is] of turn.handshakes) socket.handshake = is
      if (turn.stored) this.#board.rows++
      // Refusals go first: a phone that has received the restored value has then also received why.
      this.#delivery.sending(
        () => turn.vectorBefore(),
        () => {
          for (const reply of turn.replies) if (reply.kind === 'rejections') this.#reply(reply)
          if (turn.update) this.#broadcast(turn, turn.update)
        },
      )
      for (const reply of answersLast(turn.replies)) if (reply.kind !== 'rejections') this.#reply(reply)
      for (const done of turn.edits) done.resolve()
      this.#putOff(turn)
      addCounts(this.counts, { ...turn.counts, framesRefused: 0 })
    }
    // After the edits: nobody's edit waits for who is where.
    this.#rounds.send()
    if (this.#board.rows >= this.parts.limits.compactAfter) this.compact()
  }

  /** [S25] What the turn had no time for comes next, before whatever has arrived meanwhile. */
  #putOff({ rest, work }: Turn): void {
    for (const w of work) if (w.kind !== 'edit') w.from.isBehind = false
    if (rest.length === 0) return
    for (const w of rest) if (w.kind !== 'edit') w.from.isBehind = true
    this.#inbox = fairly([...rest, ...this.#inbox])
    if (rest.some((w) => w.kind === 'edit' || w.from.earlySince === null))
      return this.parts.commit.requestLater(this)
    // [S4] All that is left waits for something to come: to try at once would take the whole machine.
    this.parts.later(EARLY_LOOK_MS, () => this.parts.commit.requestLater(this))
  }

  rollback(reason: string): void {
    const turns = this.#unsettled.drop()
    const work = turns.flatMap((turn) => turn.work)
    if (turns.length > 0 && !this.isBroken) this.#reload()
    for (const w of work) {
      if (w.kind === 'edit') continue
      w.from.isBehind = false
      w.from.earlySince = null
    }
    if (!this.isBroken) this.#untold.note(turns, this.#board)
    for (const turn of turns) for (const done of turn.edits) done.reject(new NotStored(reason))
    // Nothing of the turns counts as received; the barriers wait for the answer to the question that comes with recovery.
    for (const w of work) if (w.kind === 'barrier') w.from.handshake = holding(w.from.handshake, w.barrier)
    // Nor may a later barrier pass: whatever it covers may be out of reach.
    for (const s of this.sockets) this.#doubt(s)
    // Work that arrived for the turn after next can't be written either.
    for (const w of this.#inbox) if (w.kind === 'edit') w.reject(new NotStored(reason))
    this.#inbox = salvage(work, this.#inbox)
    if (this.#inbox.length > 0) this.parts.commit.request(this)
    for (const s of this.sockets) s.control(this.#stateFrame())
  }

  /** A turn whose answer was lost is stored after all: what it changed is told when writing works again. */
  reread(): void {
    const vector = Y.encodeStateVector(this.#board.doc)
    this.#reload()
    this.#untold.add({ vector, refusals: [] })
  }

  resume(): void {
    for (const s of this.sockets) {
      s.control(this.#stateFrame())
      s.control(this.#question())
    }
    const untold = this.#untold.take()
    if (!untold) return
    for (const reply of untold.refusals) if (this.sockets.has(reply.to)) this.#reply(reply)
    for (const s of this.sockets) if (s.state.state !== 'joining') this.#answer(s, untold.vector)
  }

  /** [S10] The socket has caught up with its send buffer. */
  resync(socket: SyncSocket): void {
    this.parts.commit.drain()
    this.#delivery.resync(socket)
  }

  compact(): void {
    if (this.#board.rows === 0 || this.isBroken || this.parts.commit.readOnly !== null) return
    // The document holds what may still fail.
    if (this.#unsettled.length > 0) return
    try {
      this.#board.compact(this.parts.store, this.room)
    } catch (e) {
      this.parts.log.warn({ err: e, room: this.room }, 'the snapshot could not be renewed')
    }
  }

  /** Only for a room that is idle: its last write has ended [S14]. */
  unload(): void {
    this.#leaveCommit()
    this.#board.destroy()
  }

  #broadcast(turn: Turn, update: Uint8Array): void {
    const message = new BroadcastMessage(writeUpdateFrame(update))
    // A lone author whose edits all stood has nothing to learn from them.
    const only = turn.restored || turn.authors.size !== 1 ? null : turn.authors
    for (const s of this.sockets) if (!only?.has(s)) this.#delivery.update(s, message)
  }

  #reply(reply: Reply): void {
    const { to } = reply
    switch (reply.kind) {
      case 'rejections':
        for (const r of reply.rejections) to.control(writeRejection(r))
        return
      case 'refused':
        return this.#announceRefusal(to, reply.why.kind, reply.why.reason, reply.why.laterMs)
      case 'offence':
        this.parts.offend(to)
        return
      case 'barrier':
        return to.acknowledge(writeBarrier(reply.barrier))
      case 'answer':
        return this.#answer(to, reply.vector)
      default:
        return never(reply)
    }
  }

  #answer(to: SyncSocket, vector: Uint8Array): void {
    const before = this.parts.steady()
    try {
      this.#delivery.answer(to, vector)
      const ms = this.parts.steady() - before
      this.answerMs = Math.max(0.5, (this.answerMs + ms) / 2)
      to.spend(ms)
    } catch (e) {
      this.refuseFrame(to, 'malformed', `The question does not decode (${reasonOf(e)}).`)
    }
  }

  /** Back to what is on disk. */
  #reload(): void {
    const before = this.#board
    try {
      // It waits for a commit under way, so that what that holds is in the document.
      this.#board = new RoomDoc(this.parts.store, this.room, this.parts.collections)
      // It is counted when it is told.
      if (this.#unsettled.length > 0) this.#board.rows = before.rows
      before.destroy()
    } catch (e) {
      // Not even readable: nobody may be shown what is only in memory.
      this.parts.log.error({ err: e, room: this.room }, 'the room could not be read again')
      this.#broken = e instanceof Error ? e : new Error('The room could not be read again')
      this.#leaveCommit()
      for (const s of [...this.sockets]) this.parts.close(s, 1011, 'the board can’t be read')
    }
  }

  #stateFrame(): Uint8Array {
    const reason = this.parts.commit.readOnly
    return writeRoomState(reason === null ? { state: 'writable' } : { state: 'read-only', reason })
  }
}
