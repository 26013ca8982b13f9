import type { LiveSession } from '../join/live-session'
import type { Limits } from './limits'

/**
 * [S25] How many sockets may be open, by device, person, guest code and role. A guest code can fill the guests' seats and no others: the last
 * seats of all are kept for mechanics and managers.
 */
export class Seats {
  readonly #open = new Map<string, number>()
  constructor(readonly limits: Limits) {}

  get taken(): number {
    return this.#count('all')
  }

  /** Take a seat; null when there was one, otherwise whose limit it was, in words that fit a close frame (123 bytes). */
  take(session: LiveSession): string | null {
    const full = this.#whyNot(session)
    if (full === null) for (const key of keysOf(session)) this.#open.set(key, this.#count(key) + 1)
    return full
  }

  leave(session: LiveSession): void {
    for (const key of keysOf(session)) {
      const left = this.#count(key) - 1
      if (left > 0) this.#open.set(key, left)
      else this.#open.delete(key)
    }
  }

  #whyNot(session: LiveSession): string | null {
    const { limits } = this
    const { role } = session
    const guest = role === 'guest'
    const [device, person, code] = keysOf(session)
    const perDevice = guest ? limits.socketsPerGuest : limits.socketsPerSession
    if (this.#count(device) >= perDevice)
      return `This phone already has its ${perDevice} open pages. Close one.`
    if (this.#count(person) >= limits.socketsPerPerson)
      return `You already have ${limits.socketsPerPerson} open pages on your phones. Close some.`
    if (guest && this.#count(code) >= limits.socketsPerGuestCode)
      return 'The phones of this guest code have all its pages open already. Ask for another code.'
    if (guest && this.#count('guests') >= limits.guestSockets)
      return 'All seats for guests are taken. Try again when somebody has left.'
    const share = { manager: 1, mechanic: 0.9, driver: 0.8, guest: 0.8 }[role]
    return this.taken >= Math.floor(limits.sockets * share)
      ? `All seats for a ${role} are taken. Try again when somebody has left.`
      : null
  }

  #count(key: string): number {
    return this.#open.get(key) ?? 0
  }
}

/** A seat keeps the role under which it was taken. */
const keysOf = ({ sessionId, personId, invitationId, role }: LiveSession) =>
  [
    `device ${sessionId}`,
    `person ${personId}`,
    `code ${invitationId ?? personId}`,
    'all',
    ...(role === 'guest' ? ['guests'] : []),
  ] as [string, string, string, ...string[]]
