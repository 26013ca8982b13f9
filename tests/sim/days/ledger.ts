import type SqliteDatabase from 'better-sqlite3'
import * as Y from 'yjs'
import { MEETING_ROOM, OWN_COLLECTION, valuesIn } from './values'

interface AuditLine {
  seq: number
  after: string | null
  outcome: string
}

/**
 * What is durable and what was promised of it, kept beside the program: it looks at the tables themselves after each commit, at every phone's
 * document after each of its events, and says what must never be.
 */
export class Ledger {
  /** Empty for a good day. */
  readonly violations: string[] = []
  /** Every value that was ever in a stored update. */
  readonly #stored = new Set<string>()
  readonly #rows = new Set<string>()
  #board = new Y.Doc()
  readonly #judged = new Set<string>()
  #auditSeq = 0
  /** By key of a phone's own: the newest value's number that the screen called saved. */
  readonly #saved = new Map<string, { n: number; who: string }>()
  /** By key of a phone's own: the newest value's number that the phone had written down. */
  readonly #kept = new Map<string, number>()
  readonly #epochs = new Map<string, { epoch: number; owner: string }>()
  acknowledged = 0
  commits = 0

  /** `say`: told of each violation. */
  constructor(readonly trace: (line: string) => void) {}

  violate(what: string): void {
    this.trace(`violation: ${what}`)
    if (!this.violations.includes(what)) this.violations.push(what)
  }

  /** The tables, as the next start would find them now. */
  committed(tables: SqliteDatabase.Database): void {
    this.commits++
    const rows = tables
      .prepare(
        'SELECT u.seq, u.checksum, u.data, r.name FROM updates u JOIN rooms r ON r.id = u.room_id ORDER BY u.seq',
      )
      .all() as { seq: number; checksum: number; data: Buffer; name: string }[]
    for (const row of rows) {
      const id = `${row.seq} ${row.checksum} ${row.name}`
      if (this.#rows.has(id)) continue
      this.#rows.add(id)
      this.trace(`stored ${id}`)
      for (const value of valuesIn(row.data)) {
        if (value.startsWith('!')) this.violate(`a forbidden value is stored: ${value}`)
        this.#stored.add(value)
      }
      if (row.name === MEETING_ROOM) Y.applyUpdate(this.#board, row.data)
    }
    const lines = tables
      .prepare('SELECT seq, after, outcome FROM audit WHERE seq > ? ORDER BY seq')
      .all(this.#auditSeq) as AuditLine[]
    for (const { seq, after, outcome } of lines) {
      this.#auditSeq = seq
      if (outcome !== 'accepted' || after === null || !after.includes('#')) continue
      if (this.#judged.has(after)) this.violate(`${after} was judged twice`)
      this.#judged.add(after)
    }
  }

  /** Who has which room under which epoch. */
  owned(room: string, epoch: number, owner: string): void {
    const before = this.#epochs.get(room)
    if (before && before.owner !== owner && epoch <= before.epoch)
      this.violate(`${room}: two judges under epoch ${epoch}`)
    if (before && epoch < before.epoch) this.violate(`${room}: epoch ${epoch} after ${before.epoch}`)
    this.#epochs.set(room, { epoch, owner })
  }
  ownerOf(room: string): string | null {
    return this.#epochs.get(room)?.owner ?? null
  }

  /** A start reads nothing but the tables: everything that was called saved must be in them. */
  restarted(tables: SqliteDatabase.Database): void {
    this.#rows.clear()
    this.#board = boardIn(tables, MEETING_ROOM)
    this.#auditSeq = Math.min(
      this.#auditSeq,
      (tables.prepare('SELECT max(seq) AS seq FROM audit').get() as { seq: number | null }).seq ?? 0,
    )
    for (const [key, { n, who }] of this.#saved)
      if (this.#numberAt(key) < n) this.violate(`${who}#${n} was called saved and is gone after a start`)
  }

  /** A phone has something of others in its document. */
  seen(who: string, value: string): void {
    const [author = ''] = value.replace('!', '').split('#')
    if (author === who) return
    if (value.startsWith('!')) this.violate(`${who} sees ${value}, which is forbidden`)
    else if (!this.#stored.has(value)) this.violate(`${who} sees ${value}, which is not stored`)
  }

  /** The screen calls a phone's own value saved. */
  calledSaved(who: string, key: string, n: number): void {
    if ((this.#saved.get(key)?.n ?? 0) >= n) return
    this.#saved.set(key, { n, who })
    this.acknowledged++
    this.trace(`saved ${key} ${n}`)
    if (this.#numberAt(key) < n) this.violate(`${who}#${n} is called saved and is not stored`)
  }
  /** The phone's own store has it. */
  kept(key: string, n: number): void {
    this.#kept.set(key, Math.max(n, this.#kept.get(key) ?? 0))
  }

  /** The end of the day: what was promised by anybody is there. */
  close(tables: SqliteDatabase.Database): void {
    this.restarted(tables)
    for (const [key, n] of this.#kept)
      if (this.#numberAt(key) < n) this.violate(`${key}: ${n} was written down by its phone and never came`)
  }

  /** The board, as stored. */
  board(): Record<string, unknown> {
    return this.#board.getMap(OWN_COLLECTION).toJSON()
  }

  #numberAt(key: string): number {
    return Number(String(this.#board.getMap(OWN_COLLECTION).get(key)).split('#')[1] ?? 0)
  }
}

function boardIn(tables: SqliteDatabase.Database, room: string): Y.Doc {
  const doc = new Y.Doc()
  const of = (table: string) =>
    tables
      .prepare(`SELECT data FROM ${table} WHERE room_id = (SELECT id FROM rooms WHERE name = ?)`)
      .all(room) as { data: Buffer }[]
  for (const { data } of of('snapshots')) Y.applyUpdateV2(doc, data)
  for (const { data } of of('updates')) Y.applyUpdate(doc, data)
  return doc
}
