import { copyOfRoom, emptyRoom } from './loaded-room'
import type { CommitBatch, HistoryQuery, LoadedRoom, Store, StoredAuditEntry } from './store'

/**
 * Boards in memory, for tests. `beforeWrite` may throw to play a disk that fails; then nothing is written. `look` may throw to play a folder
 * that was taken away: what is written by then is written.
 */
export class MemoryStore implements Store {
  readonly #rooms = new Map<string, LoadedRoom>()
  readonly #audit: StoredAuditEntry[] = []
  constructor(
    readonly beforeWrite: () => void = () => undefined,
    readonly generation = 'first',
    readonly look: () => void = () => undefined,
  ) {}

  check(): void {
    this.look()
  }

  load(room: string): LoadedRoom {
    return copyOfRoom(this.#rooms.get(room) ?? emptyRoom())
  }

  commit(batch: CommitBatch): void {
    this.beforeWrite()
    for (const { room, clientId, personId } of batch.authors) {
      const known = this.#rooms.get(room)?.authors.get(clientId)
      if (known !== undefined && known !== personId)
        throw new Error(`clientID ${clientId} already belongs to ${known}`)
    }
    for (const write of batch.alongside ?? []) write()
    for (const { room, update } of batch.updates) this.#room(room).updates.push(update.slice())
    for (const { room, clientId, personId } of batch.authors) this.#room(room).authors.set(clientId, personId)
    for (const entry of batch.audit) {
      this.#room(entry.room)
      this.#audit.push({ ...structuredClone(entry), seq: this.#audit.length + 1 })
    }
    this.look()
  }

  compact(room: string, snapshotV2: Uint8Array, updatesCovered: number): void {
    this.beforeWrite()
    const r = this.#rooms.get(room)
    if (!r) throw new RangeError(`Nothing is stored for ${room}`)
    if (r.updates.length < updatesCovered)
      throw new RangeError(
        `${room} has ${r.updates.length} updates, not ${updatesCovered}, to fold into a snapshot`,
      )
    r.snapshot = snapshotV2.slice()
    r.updates.splice(0, updatesCovered)
  }

  pendingUpdates(room: string): number {
    return this.#rooms.get(room)?.updates.length ?? 0
  }

  rooms(): string[] {
    return [...this.#rooms.keys()].sort()
  }

  lastSeq(): number {
    return this.#audit.length
  }

  history(q: HistoryQuery): StoredAuditEntry[] {
    return this.#audit
      .filter(
        (e) =>
          e.room === q.room &&
          (q.collection === undefined || e.collection === q.collection) &&
          (q.recordId === undefined || e.recordId === q.recordId) &&
          (q.field === undefined || e.field === q.field) &&
          (q.refused !== false || e.outcome !== 'refused') &&
          (q.fromSeq === undefined || e.seq >= q.fromSeq) &&
          (q.beforeSeq === undefined || e.seq < q.beforeSeq),
      )
      .reverse()
      .slice(0, Math.min(Math.max(1, Math.trunc(q.limit)), 500))
      .map((e) => structuredClone(e))
  }

  release(): void {}
  takeFound(): readonly string[] {
    return []
  }

  close(): void {
    this.#rooms.clear()
  }

  #room(name: string): LoadedRoom {
    let room = this.#rooms.get(name)
    if (!room) this.#rooms.set(name, (room = { snapshot: null, updates: [], authors: new Map() }))
    return room
  }
}
