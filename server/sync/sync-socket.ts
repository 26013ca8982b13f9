import type { LiveSession } from '../join/live-session'
import type { BroadcastMessage } from './broadcast-message'
import { UNANSWERED, type Handshake } from './handshake'
import { WindowCounter, type Limits } from './limits'
import type { Timers } from './timers'

/** What the sync uses of a websocket; the `ws` package's has all of it. */
export interface WebSocketLike {
  send(data: Uint8Array): void
  /** Send what many sockets get. */
  broadcast(message: BroadcastMessage): void
  close(code: number, reason: string): void
  terminate(): void
  ping(): void
  pause(): void
  resume(): void
  readonly bufferedAmount: number
}

/**
 * `joining`: has not asked for the document yet, so it gets no updates. `live`: gets every update. `lagging` [S10]: its backlog was
 * dropped; `vector` is what it had been sent, `since` when (steady ms). `closed`: nothing goes out any more.
 */
export type SocketState =
  | { state: 'joining' }
  | { state: 'live' }
  | {
      state: 'lagging'
      vector: Uint8Array
      since: number
      owed: Uint8Array[]
      owedBytes: number
      ack: Uint8Array | null
    }
  | { state: 'closed' }

/** One phone's socket in one room. */
export class SyncSocket {
  state: SocketState = { state: 'joining' }
  handshake: Handshake = UNANSWERED
  /** [S28] Its phone can unpack. */
  readsPacked = false
  /** A question to it is due. */
  willAsk = false
  /**
   * [S23] What it said of what it holds: nothing, that it is of the board's present generation, or of another one. Only of a phone that holds
   * nothing else can it be known that edits of an unknown author are its own.
   */
  generation: 'unsaid' | 'present' | 'other' = 'unsaid'
  /** The one unknown clientID that a socket which said nothing may write under; null until it has. */
  ownClient: number | null = null
  /** [S25] Work of it was put off to a later turn: nothing more of it is taken in before that is done. */
  isBehind = false
  /** [S4] Since when an update of it has been waiting for what it rests on (steady ms); null when none does. */
  earlySince: number | null = null
  /** Ticks since it was last heard of. */
  silentTicks = 0
  /** Whether it was sent anything since the last tick. */
  spokenTo = false
  readonly offences: WindowCounter
  readonly questions: WindowCounter
  /** Charge the phone's person for so many ms of the server's time [S25]. */
  spend: (ms: number) => void = () => undefined
  /** Whether messages of it wait for its person's budget [S25]. */
  isHeldBack: () => boolean = () => false
  /** Set by the room: drop the backlog and wait for a resync. */
  startLag: () => void = () => undefined
  /** Set by the room: it can't even take what it is owed. */
  giveUp: () => void = () => undefined

  constructor(
    readonly ws: WebSocketLike,
    public session: LiveSession,
    readonly limits: Limits,
    readonly timers: Timers,
  ) {
    this.offences = new WindowCounter(limits.offenceWindowMs)
    this.questions = new WindowCounter(limits.offenceWindowMs)
  }

  get isOpen(): boolean {
    return this.state.state !== 'closed'
  }

  /** Whether this many more bytes would be too many to wait in the send buffer [S10]. */
  wouldOverflow(bytes: number): boolean {
    return this.ws.bufferedAmount > 0 && this.ws.bufferedAmount + bytes > this.limits.backlogBytes
  }

  /** Send a control frame; a lagging socket gets it with its resync, as far as its budget goes. */
  control(frame: Uint8Array): void {
    if (this.state.state === 'closed') return
    if (this.state.state !== 'lagging') {
      if (!this.wouldOverflow(frame.length)) return this.transmit(frame)
      this.startLag()
    }
    if (this.state.state !== 'lagging') return
    // Dropped silently, a refusal would be taken for an acknowledgement.
    if (this.state.owedBytes + frame.length > this.limits.backlogBytes) return this.giveUp()
    this.state.owed.push(frame)
    this.state.owedBytes += frame.length
  }

  /** Acknowledge a barrier; for a lagging socket the newest is enough. */
  acknowledge(frame: Uint8Array): void {
    if (this.state.state === 'lagging') this.state.ack = frame
    else this.control(frame)
  }

  transmit(frame: Uint8Array): void {
    this.spokenTo = true
    this.ws.send(frame)
  }

  /** The same for what many sockets get. */
  transmitToAll(message: BroadcastMessage): void {
    this.spokenTo = true
    this.ws.broadcast(message)
  }
}

export const identityOf = ({ session: { personId, name, role, deviceId } }: SyncSocket) => ({
  personId,
  name,
  role,
  deviceId,
})
