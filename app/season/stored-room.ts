import * as Y from 'yjs'
import { BoardReading, type BoardView } from '@/lib/board'
import type { ClientStore } from '@/app/sync/client-store'
import { applyStored } from '@/app/sync/idb-rows'

/** One of the board's documents as the device's store has it, kept up as the store's rows come. */
export class StoredRoom {
  readonly #store: Pick<ClientStore, 'read'>
  readonly #room: string
  #doc = new Y.Doc()
  #reading: BoardReading
  life: string | null = null
  /** The newest row taken in; 0 for none. */
  last = 0
  /** Of the rows taken in; what was folded into one row since counts twice. */
  bytes = 0

  constructor(store: Pick<ClientStore, 'read'>, room: string) {
    this.#store = store
    this.#room = room
    this.#reading = readingOf(room, this.#doc)
  }

  /** Take in what was written since; everything anew where the room began another life. */
  async pull(): Promise<void> {
    let content = await this.#store.read(this.#room, this.last)
    if (this.last > 0 && content.life !== this.life) {
      this.close()
      this.#doc = new Y.Doc()
      this.#reading = readingOf(this.#room, this.#doc)
      this.last = this.bytes = 0
      content = await this.#store.read(this.#room, 0)
    }
    this.life = content.life
    for (const row of content.updates) {
      applyStored(this.#doc, row, 'store')
      this.last = Math.max(this.last, row.id)
      this.bytes += row.update.byteLength
    }
  }

  /** What the server has beyond it. */
  take(update: Uint8Array): void {
    Y.applyUpdate(this.#doc, update, 'server')
  }

  /** Nothing of it is stored. */
  get isEmpty(): boolean {
    return this.last === 0
  }
  view(): BoardView {
    return this.#reading.view()
  }
  close(): void {
    this.#reading.close()
    this.#doc.destroy()
  }
}

export const readingOf = (room: string, doc: Y.Doc): BoardReading =>
  new BoardReading(room === 'kit' ? { kit: doc, meeting: null } : { kit: new Y.Doc(), meeting: doc })

/** A document that is looked at once. */
export function lookOnce<T>(room: string, doc: Y.Doc, look: (view: BoardView) => T): T {
  const reading = readingOf(room, doc)
  const seen = look(reading.view())
  reading.close()
  doc.destroy()
  return seen
}
