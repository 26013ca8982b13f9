import * as Y from 'yjs'
import { doubted, type Handshake } from './handshake'
import type { RoomDoc } from './room-doc'
import type { SyncSocket } from './sync-socket'
import type { Turn, Work } from './turn'

/**
 * [P4] A room's turns that are judged and not on disk yet, oldest first: one whose commit is under way, and one on top of it. The document holds
 * what they changed, and nobody may see it.
 */
export class Unsettled {
  readonly #turns: Turn[] = []

  get length(): number {
    return this.#turns.length
  }
  /** Handshakes as the newest leaves them, where it moves them. */
  get handshakes(): ReadonlyMap<SyncSocket, Handshake> | undefined {
    return this.#turns.at(-1)?.handshakes
  }

  add(turn: Turn): void {
    this.#turns.push(turn)
  }
  /** The oldest is on disk. */
  shift(): Turn | undefined {
    return this.#turns.shift()
  }
  /** None of them will be. */
  drop(): Turn[] {
    return this.#turns.splice(0)
  }

  /**
   * Whether this work can be judged on top of them. Questions are answered, and the server edits, from what is on disk alone; and what was put off
   * comes before what has arrived since.
   */
  canBear(work: readonly Work[]): boolean {
    const newest = this.#turns.at(-1)
    if (!newest) return true
    return (
      newest.rest.length === 0 &&
      !newest.replies.some((r) => r.kind === 'answer') &&
      work.every((w) => (w.kind === 'update' ? !w.answer : w.kind === 'barrier' || w.kind === 'doubt'))
    )
  }

  /** Whether an answer of this socket is among what the newest has put off. */
  holdsAnswerOf(socket: SyncSocket): boolean {
    return this.#turns.at(-1)?.rest.some((w) => w.kind === 'update' && w.answer && w.from === socket) ?? false
  }

  /** Something that came after them was refused. */
  doubt(socket: SyncSocket): void {
    for (const { handshakes } of this.#turns) {
      const is = handshakes.get(socket)
      if (is) handshakes.set(socket, doubted(is))
    }
  }

  /** State vector of what is on disk of the document, which is also what was sent around. */
  storedVector({ doc }: RoomDoc): Uint8Array {
    const changing = this.#turns.find((turn) => turn.update !== null)
    return changing ? changing.vectorBefore() : Y.encodeStateVector(doc)
  }
}
