import { never } from '@/lib/core/assert'
import { writeResync } from '@/lib/sync/frames'
import type { BroadcastMessage } from './broadcast-message'
import { askedBy } from './handshake'
import { packAnswer } from './pack-answer'
import type { Presence } from './presence'
import type { RoomDoc } from './room-doc'
import { writeAnswerFrame } from './sync-frames'
import type { SyncSocket } from './sync-socket'

export interface DeliveryParts {
  presence: Presence
  /** The document. It is as it is on disk whenever it is answered from. */
  board: () => RoomDoc
  /** State vector of what is on disk and was sent around. */
  vector: () => Uint8Array
  /** The socket fell behind and waits for its resync. */
  lag: (socket: SyncSocket) => void
  steady: () => number
}

/** What goes out to a room's sockets, and what becomes of those that can't take it [S10]. */
export class Delivery {
  /** Makes the state vector of before the turn that is being sent around. */
  #before: (() => Uint8Array) | null = null

  constructor(readonly parts: DeliveryParts) {}

  /** Run `send`; what it sends is news since the state vector `before`. */
  sending(before: () => Uint8Array, send: () => void): void {
    this.#before = before
    try {
      send()
    } finally {
      this.#before = null
    }
  }

  /** The socket's control frames no longer fit. Between turns it was sent everything; while a turn is sent around, everything before it. */
  fallBehind(socket: SyncSocket): void {
    this.#lag(socket, this.#before?.() ?? this.parts.vector())
  }

  /** Send an update of the turn that is being sent around. */
  update(socket: SyncSocket, message: BroadcastMessage): void {
    switch (socket.state.state) {
      case 'live':
        if (!socket.wouldOverflow(message.payload.length)) return socket.transmitToAll(message)
        return this.fallBehind(socket)
      case 'joining': // its question will be answered with everything
      case 'lagging':
      case 'closed':
        return
      default:
        return never(socket.state)
    }
  }

  /** Answer a socket's question. @throws when its state vector does not decode. */
  answer(to: SyncSocket, vector: Uint8Array): void {
    switch (to.state.state) {
      case 'closed':
        return
      case 'lagging':
        to.state.vector = vector
        return
      case 'joining':
      case 'live': {
        const frame = this.#answerTo(to, vector)
        to.state = { state: 'live' }
        if (!to.wouldOverflow(frame.length)) return to.transmit(frame)
        return this.#lag(to, vector)
      }
      default:
        return never(to.state)
    }
  }

  /** [S10] One merged state for a socket that has caught up with its send buffer. */
  resync(socket: SyncSocket): void {
    if (socket.state.state !== 'lagging') return
    const { vector, owed, ack } = socket.state
    // A phone that has not answered yet is not sent the document either.
    const waits = askedBy(socket.handshake) !== null
    socket.state = { state: waits ? 'joining' : 'live' }
    socket.transmit(writeResync())
    for (const frame of owed) socket.transmit(frame)
    if (!waits) socket.transmit(this.#answerTo(socket, vector))
    if (ack) socket.transmit(ack)
    socket.transmit(this.parts.presence.everybody())
  }

  #answerTo({ readsPacked }: SyncSocket, vector: Uint8Array): Uint8Array {
    const state = this.parts.board().stateSince(vector)
    return readsPacked ? packAnswer(state) : writeAnswerFrame(state)
  }

  /** `vector`: what the socket was sent. */
  #lag(socket: SyncSocket, vector: Uint8Array): void {
    // Before its first question it was sent nothing of the document.
    const sent = socket.state.state === 'joining' ? Uint8Array.of(0) : vector
    socket.state = {
      state: 'lagging',
      vector: sent,
      since: this.parts.steady(),
      owed: [],
      owedBytes: 0,
      ack: null,
    }
    this.parts.lag(socket)
  }
}
