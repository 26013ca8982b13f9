import * as Y from 'yjs'
import { BoardReading, type DocKind } from '@/lib/board'
import { systemClock } from '@/lib/core/clock'
import { BoardGraph } from '@/lib/derived'

/** A change of one of the board's documents, or the whole of it. */
export interface BoardUpdate {
  doc: DocKind
  update: Uint8Array
}

/** The board once more, kept up by the updates of the first one (`ClientBoard.follow`): for a worker, which then needs no records handed over. */
export class BoardMirror {
  readonly #docs = { kit: new Y.Doc(), meeting: new Y.Doc() }
  readonly #reading = new BoardReading(this.#docs)
  /** What is derived from it; `refresh` takes in what came. */
  readonly graph = new BoardGraph(() => this.#reading.view(), systemClock)

  take({ doc, update }: BoardUpdate): void {
    Y.applyUpdate(this.#docs[doc], update)
  }
}
