import type { ClientStore } from './client-store'
import type { RoomClient } from './room-client'

/**
 * [S8] [S16] Rooms that no screen shows and that still hold edits of this phone: whoever turns the page in a dead spot must neither be told
 * that all is saved nor have to come back to that page for the edits to leave. Each stays open until its last edit is on the server.
 */
export class LeftRooms {
  readonly #rooms = new Map<string, RoomClient>()
  readonly #open: (room: string) => RoomClient
  #connected = false

  constructor(open: (room: string) => RoomClient) {
    this.#open = open
  }

  get all(): readonly RoomClient[] {
    return [...this.#rooms.values()]
  }

  /** A screen lets go of its room. */
  leave(room: RoomClient): void {
    if (room.snapshot.pending === 0) return room.close()
    this.#keep(room)
  }

  /** A screen wants the room: the same one when it was left here, else a new one. */
  take(name: string): RoomClient {
    const room = this.#rooms.get(name)
    this.#rooms.delete(name)
    return room ?? this.#open(name)
  }

  /** Open what earlier visits left in the device's store. */
  async find(store: Pick<ClientStore, 'allPending'>, isOpen: (name: string) => boolean): Promise<void> {
    const names = new Set((await store.allPending()).map((p) => p.room))
    const rooms = [...names].filter((n) => !isOpen(n) && !this.#rooms.has(n)).map((n) => this.#open(n))
    for (const room of rooms) this.#rooms.set(room.room, room)
    await Promise.all(rooms.map((r) => r.load()))
    for (const room of rooms) if (this.#rooms.get(room.room) === room) this.#keep(room)
  }

  /** Another client takes the place of one that was left here. @returns whether it was. */
  replace(old: RoomClient, next: RoomClient): boolean {
    if (this.#rooms.get(old.room) !== old) return false
    this.#keep(next)
    return true
  }

  connect(): void {
    this.#connected = true
    for (const room of this.#rooms.values()) room.connect()
  }

  closeAll(): void {
    this.#connected = false
    for (const room of this.#rooms.values()) room.close()
    this.#rooms.clear()
  }

  #keep(room: RoomClient) {
    this.#rooms.set(room.room, room)
    const look = () => {
      if (this.#rooms.get(room.room) !== room) return unsubscribe()
      if (room.snapshot.pending > 0) return
      unsubscribe()
      this.#rooms.delete(room.room)
      // Not within the message that brought the answer: the socket is still at work on it.
      queueMicrotask(() => room.close())
    }
    const unsubscribe = room.subscribe(look)
    if (this.#connected) room.connect()
    look()
  }
}
