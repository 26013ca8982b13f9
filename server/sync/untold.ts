import * as Y from 'yjs'
import type { RoomDoc } from './room-doc'
import type { Reply, Turn } from './turn'

interface News {
  /** State vector of what everybody was told before. */
  vector: Uint8Array
  refusals: Reply[]
}

/** What turned out to be on disk although its write counts as failed: it is told when writing works again. */
export class Untold {
  #news: News | null = null

  /** The oldest covers what comes after it. */
  add(news: News): void {
    this.#news ??= news
  }

  /** [S26] Turns that count as failed, oldest first, and the board as it was read again: they may be written (the folder was taken away meanwhile). */
  note(turns: readonly Turn[], board: RoomDoc): void {
    const oldest = turns.find((turn) => turn.update !== null)
    if (!oldest?.update) return
    const missing = Y.diffUpdate(oldest.update, Y.encodeStateVector(board.doc))
    if (Y.decodeUpdate(missing).structs.length > 0) return
    this.add({
      vector: oldest.vectorBefore(),
      refusals: oldest.replies.filter((r) => r.kind === 'rejections'),
    })
  }

  take(): News | null {
    const news = this.#news
    this.#news = null
    return news
  }
}
