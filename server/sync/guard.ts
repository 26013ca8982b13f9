import * as Y from 'yjs'
import type { Clock } from '@/lib/core/clock'
import { refuse, refusalText, type Refusal, type Result } from '@/lib/core/result'
import type { Json } from '@/lib/core/json'
import type { Rejection } from '@/lib/sync/states'
import type { LiveSession } from '../join/live-session'
import type { AuditEntry } from '../storage/store'
import { BoardBefore } from './board-before'
import { collectChanges, type Change } from './collect-changes'
import { ANY_CLAIM, type Claims } from './claimant'
import { EndedClients } from './ended-clients'
import { comesEarly } from './early'
import type { BoardReader, DocKind, GuardRules, PolicyContext } from './guard-rules'
import { integrate } from './integrate'
import type { Limits } from './limits'
import { policyContext } from './policy-context'
import { SERVER_AUTHOR, RESTORER, type RoomDoc } from './room-doc'
import type { RefusalBudget } from './refusal-budget'
import { storedTooMuch, type StoredBudget } from './stored-budget'
import { vetUpdate, type DeleteRanges, type VettedUpdate } from './vet-update'
import { bytesLeftBy, foresee, touchesGranted, type Foreseen } from './whole-refusal'

export type Author = Pick<LiveSession, 'personId' | 'deviceId' | 'role'>

/** What became of one update. */
export interface Verdict {
  /** Why the whole update was refused, leaving no trace; null when it was integrated. */
  refused:
    | (Pick<Rejection, 'kind' | 'reason'> & {
        /** It may be sent again after so many ms. */ laterMs?: number
      })
    | null
  rejections: Rejection[]
  audit: AuditEntry[]
  /** clientIDs used for the first time. */
  claims: { clientId: number; personId: string }[]
  /** The document holds more than the author sent: values were restored. */
  restored: boolean
  /** What the author's update says is deleted. */
  deletes: DeleteRanges | null
  /** Only its first part was taken in: it must be handed in again. */
  more?: boolean
  /** [S4] Nothing of it was taken in: what it rests on may still come. */
  early?: boolean
}

export interface GuardParts {
  room: string
  kind: DocKind
  rules: GuardRules
  /** Reads fields of this and the other documents as they are now. */
  reader: BoardReader
  clock: Clock
  limits: Limits
  refusals: RefusalBudget
  stored: StoredBudget
  /** ms by a clock that only goes forward. */
  steady: () => number
}

/** The most rounds in which edits of one update may lean on each other (a record's owner is written in the same update as its field). */
const MAX_ROUNDS = 5
/** Refused fields of an update refused whole that its author is told of. */
const MOST_TOLD = 50
const STARTS_ANEW = {
  kind: 'anew',
  reason: 'This page starts over: it has edits that are not allowed.',
} as const
/** Below this many bytes left to a person's refused edits, and for updates of more structs, refusals are foreseen. */
const LOW_BYTES = 4_096
const FEW_STRUCTS = 64

/**
 * Decides what of an update enters the document. Everything happens inside the caller's transaction, of which only the net result is
 * stored and sent: a forbidden value is integrated, seen and restored before anybody could see it [S6].
 */
export class Guard {
  readonly #ended = new EndedClients()

  constructor(readonly parts: GuardParts) {}

  /** Judge one client's update. */
  update(
    tr: Y.Transaction,
    board: RoomDoc,
    bytes: Uint8Array,
    author: Author,
    claims: Claims = ANY_CLAIM,
    mayWait = false,
  ): Verdict {
    const verdict: Verdict = {
      refused: null,
      rejections: [],
      audit: [],
      claims: [],
      restored: false,
      deletes: null,
    }
    const vetted = vetUpdate(bytes, board.doc, this.parts.limits)
    if (!vetted.ok) {
      verdict.refused = { kind: vetted.kind, reason: `The edits were refused: ${vetted.reason}.` }
      return verdict
    }
    // [S3] Before anything is integrated: a forged struct would block the true owner's later edits for good.
    const update = vetted.value
    const unknown: number[] = []
    for (const client of update.clients) {
      const owner =
        board.authors.get(client) ??
        (client === board.serverClient || client === board.restorerClient ? SERVER_AUTHOR : undefined)
      if (owner !== undefined && owner !== author.personId) {
        verdict.refused = { kind: 'authorship', reason: 'The edits were written under somebody else’s name.' }
        return verdict
      }
      if (owner === undefined) unknown.push(client)
    }
    // [S24] From a line that was slower than the one on which the page was told.
    if (this.#ended.hasAny(author.personId, update.clients)) {
      verdict.refused = STARTS_ANEW
      return verdict
    }
    // [S23] Nor does anybody become the author of what he passes on.
    verdict.refused = claims.refuse(unknown)
    if (verdict.refused) return verdict
    // [S25] Legal, but too much: it stays on its phone for a while.
    const laterMs = update.structs.length > 0 ? this.parts.stored.waitOf(author) : 0
    if (laterMs > 0) {
      verdict.refused = { kind: 'too-large', reason: storedTooMuch(author.role, laterMs), laterMs }
      return verdict
    }
    verdict.early = mayWait && comesEarly(update, board, author, this.parts)
    if (verdict.early) return verdict
    const most = this.parts.limits.structsPerTurn
    verdict.more = update.structs.length > most
    const part = verdict.more ? { ...update, structs: update.structs.slice(0, most), more: true } : update
    if (this.#refuseWhole(board, update, part, author, verdict)) return verdict
    for (const client of unknown) this.#claim(board, client, author.personId, verdict)
    verdict.deletes = update.deletes
    tr.changed.clear()
    integrate(tr, part)
    this.#judge(tr, board, collectChanges(tr, board, this.parts.rules, part), author, verdict)
    return verdict
  }

  /**
   * [S24] What is refused here leaves nothing behind: an update in which the role may write nothing at all, and one of a person whose refused
   * edits have left enough in documents already. The author's document then holds what this one never will, so its page starts anew.
   */
  #refuseWhole(
    board: RoomDoc,
    update: VettedUpdate,
    part: VettedUpdate,
    author: Author,
    verdict: Verdict,
  ): boolean {
    const { parts } = this
    const { refusals } = parts
    let foreseen: Foreseen[]
    if (!touchesGranted(update, board, author, parts))
      foreseen = foresee(update, board, author, parts, MOST_TOLD)
    else {
      const left = refusals.bytesLeft(author.personId)
      if (left > LOW_BYTES && part.structs.length <= FEW_STRUCTS) return false
      foreseen = foresee(part, board, author, parts, Infinity)
      if (foreseen.reduce((sum, f) => sum + bytesLeftBy(f), 0) <= Math.max(0, left)) return false
    }
    verdict.refused = STARTS_ANEW
    this.#ended.add(author.personId, update.clients)
    for (const f of foreseen.slice(0, MOST_TOLD)) this.#tell(f, f.kind, f.why, author, verdict)
    return true
  }

  /** The server's own edit: no policy, but the schema holds. @throws when the edit fails or does not fit; nothing of it remains then. */
  serverEdit(tr: Y.Transaction, board: RoomDoc, edit: (doc: Y.Doc) => void): Verdict {
    const verdict: Verdict = {
      refused: null,
      rejections: [],
      audit: [],
      claims: [],
      restored: false,
      deletes: null,
    }
    tr.changed.clear()
    let failure: unknown = null
    try {
      board.doc.clientID = board.serverClient
      edit(board.doc)
    } catch (e) {
      failure = e ?? new Error('The edit failed')
    }
    if (Y.getState(board.doc.store, board.serverClient) > 0)
      this.#claim(board, board.serverClient, SERVER_AUTHOR, verdict)
    const changes = collectChanges(tr, board, this.parts.rules, null)
    if (failure === null) {
      const bad = changes.map((c) => this.#fits(c)).find((r) => !r.ok)
      if (bad) failure = new Error(refusalText(bad.error))
    }
    if (failure !== null) {
      for (const c of changes) this.#restore(tr, board, c, verdict)
      verdict.audit.length = 0
      throw new ServerEditError(failure, verdict)
    }
    const by = { personId: 'server', deviceId: 'server' }
    for (const c of changes) if (c.after !== undefined) this.#accept(board, c, c.after, by, verdict)
    return verdict
  }

  #judge(tr: Y.Transaction, board: RoomDoc, changes: Change[], author: Author, verdict: Verdict): void {
    const { reader, kind: doc } = this.parts
    const ctx: PolicyContext = {
      ...policyContext(this.parts, author),
      // A lone change is judged before any of its update counts.
      ...(changes.length > 1 && { before: new BoardBefore(reader, doc, changes) }),
    }
    let open: Change[] = []
    const refused: { change: Change; kind: 'policy' | 'schema'; why: Refusal }[] = []
    for (const change of changes) {
      const fits = this.#fits(change)
      if (fits.ok) open.push(change)
      else refused.push({ change, kind: 'schema', why: fits.error })
    }
    // Edits of one update may lean on each other in any order: judge again whatever failed, as long as something new was accepted.
    for (let round = 0; open.length > 0; round++) {
      const denied: typeof refused = []
      for (const change of open) {
        const may = this.#may(ctx, change)
        if (may.ok) this.#take(tr, board, change, author, verdict)
        else denied.push({ change, kind: 'policy', why: may.error })
      }
      if (denied.length === open.length || round === MAX_ROUNDS) {
        refused.push(...denied)
        break
      }
      open = denied.map((d) => d.change)
    }
    for (const { change, kind, why } of refused) this.#refuse(tr, board, change, kind, why, author, verdict)
  }

  #fits(change: Change): Result<void> {
    const { path, plain, known, collection } = change
    if (!known || !path)
      return refuse(collection, '', 'the board has no such collection or field', 'Reload the page.')
    if (!plain) return refuse(path.field, '', 'only plain values can be kept', 'Enter text or a number.')
    return this.parts.rules.checkField(this.parts.kind, path.collection, path.field, change.after)
  }

  #may(ctx: PolicyContext, change: Change): Result<void> {
    const { path, before, after } = change
    if (!path) return refuse(change.collection, '', 'the board has no such field', 'Reload the page.')
    return this.parts.rules.mayWrite(ctx, { doc: this.parts.kind, ...path, before, after })
  }

  /** An allowed edit: it stands, or it lost against a concurrent one. */
  #take(tr: Y.Transaction, board: RoomDoc, change: Change, by: Author, verdict: Verdict): void {
    const { after, collection, key } = change
    if (after === undefined || key === null) return
    if (!change.lost) return this.#accept(board, change, after, by, verdict)
    // It lost against a value that the server had put back, or its removal: behind that is somebody's forbidden edit, and such an edit must
    // not decide anything. Without it this one would stand (or tie with the value that was put back), so it stands.
    if (change.winner === null || change.winner === board.restorerClient) {
      this.#write(board, collection, key, after, verdict)
      verdict.restored = true
      return this.#accept(board, change, after, by, verdict)
    }
    this.#record(change, by, 'overwritten', verdict)
  }

  #accept(board: RoomDoc, change: Change, after: Json, by: Omit<Author, 'role'>, verdict: Verdict): void {
    const { collection, key } = change
    if (key === null) return
    board.remember(collection, key, after)
    this.#record(change, by, 'accepted', verdict)
  }

  #refuse(
    tr: Y.Transaction,
    board: RoomDoc,
    change: Change,
    kind: 'policy' | 'schema',
    why: Refusal,
    author: Author,
    verdict: Verdict,
  ): void {
    this.#restore(tr, board, change, verdict)
    this.parts.refusals.leave(author.personId, bytesLeftBy(change))
    this.#tell(change, kind, why, author, verdict)
  }

  /** A refusal, for the author and for the audit trail. */
  #tell(change: Told, kind: 'policy' | 'schema', why: Refusal, author: Author, verdict: Verdict): void {
    const { at } = this.#record(change, author, 'refused', verdict)
    verdict.rejections.push({
      kind,
      path: pathOf(change),
      attempted: toldValue(change),
      restored: change.before ?? null,
      reason: refusalText(why),
      // The same instant as in the audit trail: a refusal that is told twice can be recognised.
      at,
    })
  }

  /** [S6] Put back what the mirror holds, if the edit took effect. */
  #restore(tr: Y.Transaction, board: RoomDoc, change: Change, verdict: Verdict): void {
    const { type, key, collection, before } = change
    if (change.lost) return
    verdict.restored = true
    if (key === null) {
      for (let item = type._start; item; item = item.right) item.delete(tr)
      return
    }
    if (before !== undefined) this.#write(board, collection, key, before, verdict)
    else type._map.get(key)?.delete(tr)
  }

  #write(board: RoomDoc, collection: string, key: string, value: Json, verdict: Verdict): void {
    board.doc.clientID = board.restorerClient
    board.map(collection)?.set(key, value)
    this.#claim(board, board.restorerClient, RESTORER, verdict)
  }

  #claim(board: RoomDoc, clientId: number, personId: string, verdict: Verdict): void {
    if (board.authors.has(clientId)) return
    board.authors.set(clientId, personId)
    verdict.claims.push({ clientId, personId })
  }

  #record(
    change: Told,
    by: Omit<Author, 'role'>,
    outcome: AuditEntry['outcome'],
    verdict: Verdict,
  ): AuditEntry {
    const entry: AuditEntry = {
      room: this.parts.room,
      at: this.parts.clock.now(),
      personId: by.personId,
      deviceId: by.deviceId,
      ...pathOf(change),
      before: change.before ?? null,
      after: outcome === 'refused' ? toldValue(change) : (change.after ?? null),
      outcome,
    }
    verdict.audit.push(entry)
    return entry
  }
}

type Told = Pick<Change, 'collection' | 'key' | 'path' | 'before' | 'after' | 'plain'>

/** Characters of JSON; what the schema allows is far below. */
const MAX_TOLD = 16_384
/** The attempted value for the author and the audit trail. A forged one could be huge: it fills neither the disk nor the line. */
function toldValue({ plain, after }: Told): Json | null {
  if (!plain || after === undefined) return null
  if (typeof after !== 'string' && typeof after !== 'object') return after
  return JSON.stringify(after).length > MAX_TOLD ? null : after
}

/** A path for people even where the key is no key of the board's. */
const pathOf = (c: Told) => c.path ?? { collection: c.collection, recordId: c.key ?? '', field: '' }

/** A server's edit that failed; `verdict` holds what undoing it left behind (the claim of a clientID). */
export class ServerEditError extends Error {
  constructor(
    readonly failure: unknown,
    readonly verdict: Verdict,
  ) {
    super('The server’s edit failed', { cause: failure })
  }
}
