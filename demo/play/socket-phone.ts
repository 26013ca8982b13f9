import * as Y from 'yjs'
import { BoardReading, type BoardView } from '@/lib/board'
import type { Role } from '@/lib/core/role'
import { formatRoomName } from '@/lib/sync/room-name'
import type { Phone } from './phone'
import { RoomLink } from './room-link'
import type { Joined } from './server-api'

/** A phone that talks to the server as a real one does: a session cookie and one socket for each board. */
export class SocketPhone implements Phone {
  readonly personId: string
  readonly name: string
  readonly role: Role
  readonly docs = { kit: new Y.Doc(), meeting: new Y.Doc() }
  readonly #reading = new BoardReading(this.docs)
  readonly #links: readonly RoomLink[]
  #online = false

  constructor(origin: string, meetingId: string, { session, cookie }: Joined) {
    this.personId = session.personId
    this.name = session.name
    this.role = session.role
    this.#links = [
      new RoomLink(origin, formatRoomName({ kind: 'kit' }), this.docs.kit, cookie),
      new RoomLink(origin, formatRoomName({ kind: 'meeting', meetingId }), this.docs.meeting, cookie),
    ]
  }

  get online(): boolean {
    return this.#online
  }
  view(): BoardView {
    return this.#reading.view()
  }
  async saved(): Promise<void> {
    await Promise.all(this.#links.map((link) => link.saved()))
  }
  goAway(): void {
    this.#online = false
    this.#links.forEach((link) => link.disconnect())
  }
  async comeBack(): Promise<void> {
    this.#online = true
    this.#links.forEach((link) => link.connect())
    await this.saved()
  }
  refusals(): string[] {
    return this.#links.flatMap((link) => link.refusals)
  }
  close(): void {
    this.#online = false
    this.#links.forEach((link) => link.close())
    this.#reading.close()
  }
}
