import type { Limits } from './limits'
import type { Room } from './room'
import type { SyncSocket } from './sync-socket'

/** [S10] Sockets whose backlog was dropped, until they have room for a resync. */
export class LaggingSockets {
  readonly #all = new Map<SyncSocket, Room>()
  readonly #limits: Pick<Limits, 'backlogBytes' | 'slowCloseMs'>
  /** What happens to one that can't take its resync for too long. */
  readonly #giveUp: (room: Room, socket: SyncSocket) => void

  constructor(
    limits: Pick<Limits, 'backlogBytes' | 'slowCloseMs'>,
    giveUp: (room: Room, socket: SyncSocket) => void,
  ) {
    this.#limits = limits
    this.#giveUp = giveUp
  }

  add(room: Room, socket: SyncSocket): void {
    this.#all.set(socket, room)
  }

  forget(socket: SyncSocket): void {
    this.#all.delete(socket)
  }

  /** Look at all of them. `now`: ms of the steady clock. */
  drain(now: number): void {
    for (const [socket, room] of [...this.#all]) {
      if (socket.state.state !== 'lagging') {
        this.#all.delete(socket)
      } else if (socket.ws.bufferedAmount <= this.#limits.backlogBytes / 4) {
        this.#all.delete(socket)
        room.resync(socket)
      } else if (now - socket.state.since > this.#limits.slowCloseMs) {
        this.#all.delete(socket)
        this.#giveUp(room, socket)
      }
    }
  }
}
