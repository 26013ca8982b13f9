import * as decoding from 'lib0/decoding'
import * as Y from 'yjs'
import { never } from '@/lib/core/assert'
import type { Barrier } from '@/lib/sync/frames'
import type { Rejection } from '@/lib/sync/states'
import type { AuditEntry, CommitBatch, Store, ToldEdit } from '../storage/store'
import { ServerEditError, type Guard, type GuardParts, type Verdict } from './guard'
import { ANEW, answeredInVain, askedBy, doubted, heldBy, holding, PROVEN, type Handshake } from './handshake'
import { missedRefusals, type Judged } from './missed-refusals'
import { Claimant } from './claimant'
import { EARLY_MS } from './early'
import type { Presence } from './presence'
import type { RoomDoc } from './room-doc'
import type { SyncSocket } from './sync-socket'
import { deletesOf, vetUpdate, type DeleteRanges } from './vet-update'

export type Work =
  /** `answer`: it answers the server's question, so it holds everything its sender has. */
  | { kind: 'update'; from: SyncSocket; bytes: Uint8Array; answer: boolean }
  /** An answer that can't be stored: it still shows what its sender has not heard of. `refused`: nor will it be when the disk has room. */
  | { kind: 'unstored'; from: SyncSocket; bytes: Uint8Array; refused: boolean }
  | { kind: 'question'; from: SyncSocket; vector: Uint8Array }
  | { kind: 'barrier'; from: SyncSocket; barrier: Barrier }
  /** A frame between others was refused before it became work. */
  | { kind: 'doubt'; from: SyncSocket }
  | {
      kind: 'edit'
      edit: (doc: Y.Doc) => void
      alongside: (() => void) | undefined
      told?: ToldEdit | undefined
      resolve: () => void
      reject: (e: unknown) => void
    }

/** What goes to one socket once the turn is on disk, in the order in which its frames arrived. */
export type Reply = { to: SyncSocket } & (
  | { kind: 'rejections'; rejections: Rejection[] }
  | { kind: 'refused'; why: NonNullable<Verdict['refused']> }
  | { kind: 'offence' }
  | { kind: 'barrier'; barrier: Barrier }
  | { kind: 'answer'; vector: Uint8Array }
)

/** [S25] A turn that has taken this long puts off what is left, ms; whoever waits for a small edit then waits for no more than that. */
const TURN_MS = 15
/** [S25] Answers of one turn take about as long as this at most, ms; there is always one. */
const ANSWERS_MS = 10
/** What a line of the audit trail takes of the commit, ms. */
const AUDIT_MS = 0.03

/** The work of one event-loop turn in one room: one Yjs transaction, one row on disk, one message per receiver. */
export class Turn {
  readonly replies: Reply[] = []
  readonly edits: { resolve: () => void; reject: (e: unknown) => void }[] = []
  /** Sockets whose updates were integrated. */
  readonly authors = new Set<SyncSocket>()
  readonly counts = { accepted: 0, refused: 0, overwritten: 0 }
  /** The net result; null when nothing changed. */
  update: Uint8Array | null = null
  /** A row was written. */
  stored = false
  /** The result holds values that the server restored, or edits of its own. */
  restored = false
  /** Index of the work in hand; after a failure, of the culprit. */
  position = -1
  fault: unknown = null
  /** Of sockets whose handshake this turn moves: what it is once the turn is on disk. */
  readonly handshakes = new Map<SyncSocket, Handshake>()
  /** [S25] What was put off to the next turn, in order. */
  readonly rest: Work[] = []
  readonly #late = new Set<SyncSocket>()
  #served = 0
  #answers = 0
  readonly #audit: AuditEntry[] = []
  readonly #judged: Judged[] = []
  readonly #alongside: (() => void)[] = []
  readonly #claims: { clientId: number; personId: string }[] = []
  #before: Map<number, number> | null = null

  constructor(
    readonly work: readonly Work[],
    readonly board: RoomDoc,
    readonly guard: Guard,
    readonly judging: GuardParts,
    readonly store: Pick<Store, 'history'>,
    readonly presence: Pick<Presence, 'clientOf' | 'isHeldByOther'>,
    /** What an answer took lately, ms. */
    readonly answerMs = 0,
    /** [P4] Handshakes as the turn leaves them that this one is judged on top of. */
    readonly under: ReadonlyMap<SyncSocket, Handshake> = new Map(),
  ) {}

  /** What must be stored; null when a piece of work failed in a way it never should (see `fault`). */
  run(): CommitBatch | null {
    if (this.work.some((w) => w.kind === 'update' || w.kind === 'edit')) {
      try {
        this.update = this.board.transact((tr) => {
          this.#before = tr.beforeState
          this.#process(tr)
        })
      } catch (e) {
        this.fault = e
        return null
      }
    } else this.#process(null)
    const { room, clock } = this.judging
    this.stored = this.update !== null
    return {
      updates: this.update ? [{ room, update: this.update, at: clock.now() }] : [],
      authors: this.#claims.map((c) => ({ room, ...c })),
      audit: this.#audit,
      alongside: this.#alongside,
    }
  }

  /** State vector of before the turn. */
  vectorBefore(): Uint8Array {
    return Y.encodeStateVector(this.#before ?? new Map())
  }

  refuseCulprit(refuse: (socket: SyncSocket) => void): void {
    const culprit = this.work[this.position]
    if (culprit?.kind === 'update') refuse(culprit.from)
    if (culprit?.kind === 'edit') culprit.reject(this.fault)
  }

  #process(tr: Y.Transaction | null): void {
    const start = this.#steady()
    for (const [i, w] of this.work.entries()) {
      this.position = i
      if (w.kind !== 'edit' && this.#isPutOff(w, start)) {
        this.#putOff(w)
        continue
      }
      switch (w.kind) {
        case 'update':
          if (tr && w.from.isOpen) this.#updateFrom(tr, w)
          break
        case 'edit':
          if (tr) this.#edit(tr, w)
          break
        case 'unstored':
          if (w.from.isOpen && (w.refused || !this.#isNews(w.bytes)))
            this.#answeredInVain(w.from, deletesOf(w.bytes))
          break
        case 'question':
          this.#question(w)
          break
        case 'barrier': {
          const is = this.#handshakeOf(w.from)
          if (is.state === 'proven') this.replies.push({ to: w.from, kind: 'barrier', barrier: w.barrier })
          else this.handshakes.set(w.from, holding(is, w.barrier))
          break
        }
        case 'doubt':
          this.handshakes.set(w.from, doubted(this.#handshakeOf(w.from)))
          break
        default:
          never(w)
      }
    }
  }

  /** Behind its sender's unfinished work, or when this turn has taken its time and this sender's share of it. */
  #isPutOff(w: Work & { from: SyncSocket }, start: number): boolean {
    if (this.#late.has(w.from)) return true
    if (w.kind === 'question' && this.#answers > 0 && (this.#answers + 1) * this.answerMs > ANSWERS_MS)
      return true
    return this.#served > 0 && this.#steady() - start > TURN_MS
  }
  #putOff(w: Work & { from: SyncSocket }): void {
    this.#late.add(w.from)
    this.rest.push(w)
  }
  #steady(): number {
    return this.judging.steady()
  }

  #updateFrom(tr: Y.Transaction, w: Extract<Work, { kind: 'update' }>): void {
    const { from, bytes, answer } = w
    this.#served++
    // Not even decoded: it holds, or rests on, what was refused whole. Its barriers stay unanswered.
    if (this.#handshakeOf(from).state === 'anew') return
    const before = this.#steady()
    const mayWait = from.earlySince === null || before - from.earlySince < EARLY_MS
    const claims = new Claimant(from, this.presence)
    const verdict = this.guard.update(tr, this.board, bytes, from.session, claims, mayWait)
    from.spend(this.#steady() - before + AUDIT_MS * verdict.audit.length)
    if (verdict.early) {
      from.earlySince ??= before
      return this.#putOff(w)
    }
    from.earlySince = null
    if (verdict.refused) {
      const isAnew = verdict.refused.kind === 'anew'
      if (isAnew) {
        this.#take(verdict, from)
        this.replies.push({ to: from, kind: 'rejections', rejections: verdict.rejections })
      }
      this.replies.push({ to: from, kind: 'refused', why: verdict.refused })
      if (answer) this.#answeredInVain(from, deletesOf(bytes))
      else this.handshakes.set(from, doubted(this.#handshakeOf(from)))
      if (isAnew) this.#startsAnew(from)
      return
    }
    if (!verdict.more && verdict.audit.length > 0) this.judging.stored.store(from.session, bytes.length)
    this.#take(verdict, from)
    this.authors.add(from)
    if (verdict.rejections.length > 0) {
      this.replies.push({ to: from, kind: 'rejections', rejections: verdict.rejections })
      // Honest screens don't offer what a guest may not do, nor collections that do not exist.
      if (from.session.role === 'guest') this.replies.push({ to: from, kind: 'offence' })
    }
    if (verdict.more) return this.#putOff(w)
    if (!answer) return
    const is = this.#handshakeOf(from)
    this.#answerAsked(from, verdict.deletes)
    this.handshakes.set(from, PROVEN)
    const barrier = heldBy(is)
    if (barrier) this.replies.push({ to: from, kind: 'barrier', barrier })
  }

  #handshakeOf(socket: SyncSocket): Handshake {
    return this.handshakes.get(socket) ?? this.under.get(socket) ?? socket.handshake
  }

  #question({ from, vector }: Extract<Work, { kind: 'question' }>): void {
    const is = this.#handshakeOf(from)
    if (is.state === 'unanswered' && holdsSomething(vector)) {
      this.handshakes.set(from, { ...is, asked: vector })
      return
    }
    this.#answers++
    this.replies.push({ to: from, kind: 'answer', vector })
  }

  #answeredInVain(from: SyncSocket, deletes: DeleteRanges | null): void {
    this.#answerAsked(from, deletes)
    this.handshakes.set(from, answeredInVain(this.#handshakeOf(from)))
  }

  /** [S24] Nothing more is heard of it, so what it asked is answered now. */
  #startsAnew(from: SyncSocket): void {
    this.#answerAsked(from, null)
    this.handshakes.set(from, ANEW)
  }

  /**
   * Whether an answer holds edits that would be taken in when they could be stored. Such a phone is not sent the document before that: its
   * edits might lose against it there, and then would come without their values.
   */
  #isNews(bytes: Uint8Array): boolean {
    const vetted = vetUpdate(bytes, this.board.doc, this.judging.limits)
    return vetted.ok && vetted.value.structs.length > 0
  }

  /** What it asked before its answer. An earlier socket may have gone before it could be told what was refused: the phone still takes the value for its own. */
  #answerAsked(to: SyncSocket, deletes: DeleteRanges | null): void {
    const vector = askedBy(this.#handshakeOf(to))
    if (!vector) return
    const trail = { history: this.store.history.bind(this.store), judged: this.#judged }
    const missed = deletes ? missedRefusals(this.board, trail, this.judging, to, vector, deletes) : []
    if (missed.length > 0) this.replies.push({ to, kind: 'rejections', rejections: missed })
    this.replies.push({ to, kind: 'answer', vector })
  }

  #edit(tr: Y.Transaction, w: Extract<Work, { kind: 'edit' }>): void {
    try {
      const verdict = this.guard.serverEdit(tr, this.board, w.edit)
      const { told } = w
      if (told) {
        for (const entry of told.besides) this.#audit.push(entry)
        verdict.audit = verdict.audit.flatMap((entry) => told.own(entry) ?? [])
      }
      this.#take(verdict, null)
      if (w.alongside) this.#alongside.push(w.alongside)
      this.edits.push(w)
    } catch (e) {
      if (!(e instanceof ServerEditError)) throw e
      this.#take(e.verdict, null)
      w.reject(e.failure)
    }
    this.restored = true
  }

  #take(verdict: Verdict, from: SyncSocket | null): void {
    if (verdict.restored) this.restored = true
    for (const c of verdict.claims) this.#claims.push(c)
    for (const entry of verdict.audit) {
      this.counts[entry.outcome]++
      this.#judged.push({ from, entry })
      if (entry.outcome !== 'refused' || from === null) this.#audit.push(entry)
      else this.#auditRefusal(entry)
    }
  }
  /** A hostile phone must not fill the disk with what it was refused. */
  #auditRefusal(entry: AuditEntry): void {
    const { refusals } = this.judging
    if (!refusals.mayAudit(entry.personId)) return
    const length = typeof entry.after === 'string' ? entry.after.length : JSON.stringify(entry.after).length
    this.#audit.push(refusals.mayKeepAttempt(entry.personId, length) ? entry : { ...entry, after: null })
  }
}

/**
 * A phone that comes back with something gets the document only after its own answer: the document would show it that edits were taken
 * back, and were the line to break before the refusals got through, its next answer would no longer show that it had missed them.
 */
function holdsSomething(vector: Uint8Array): boolean {
  try {
    // How many writers it names is said at its beginning; decoding all of it would be the asker's to pay.
    return decoding.readVarUint(decoding.createDecoder(vector)) > 0
  } catch {
    return false
  }
}

/** One piece of each person's work after the other, each person's in its order. */
export function fairly(work: readonly Work[]): Work[] {
  const byPerson = new Map<string, Work[]>()
  for (const w of work) {
    const person = w.kind === 'edit' ? 'server:' : w.from.session.personId
    const list = byPerson.get(person)
    if (list) list.push(w)
    else byPerson.set(person, [w])
  }
  const out: Work[] = []
  const lists = [...byPerson.values()]
  for (let i = 0; out.length < work.length; i++)
    for (const list of lists) {
      const w = list[i]
      if (w) out.push(w)
    }
  return out
}

/** Encoding the document takes longer than anything else: who did not ask for it is not kept waiting. Each socket's replies stay in order. */
export function answersLast(replies: readonly Reply[]): Reply[] {
  const asking = new Set<SyncSocket>()
  const [first, last]: [Reply[], Reply[]] = [[], []]
  for (const reply of replies) {
    if (reply.kind === 'answer') asking.add(reply.to)
    ;(asking.has(reply.to) ? last : first).push(reply)
  }
  return [...first, ...last]
}
