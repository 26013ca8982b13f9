import type { Role } from '@/lib/core/role'
import type { LiveSession } from '../join/live-session'
import { TokenBucket } from './limits'

const MIB = 2 ** 20
const HOUR_S = 3_600
const MAX_PEOPLE = 5_000

/**
 * [S25] Bytes that a person may store per hour. An import of 600 heats takes about 1.5 MiB, a busy day of one phone a few hundred KiB.
 */
export const STORED_PER_HOUR: Record<Role, number> = {
  manager: 32 * MIB,
  mechanic: 16 * MIB,
  driver: 8 * MIB,
  guest: MIB / 4,
}

/** What each person has stored lately, beyond sockets and devices. Who was heard of longest ago is forgotten. */
export class StoredBudget {
  readonly #people = new Map<string, TokenBucket>()
  constructor(readonly steady: () => number) {}

  /** How long until this person may store again, ms; 0 for now. */
  waitOf({ personId, role }: Pick<LiveSession, 'personId' | 'role'>): number {
    const left = this.#people.get(personId)?.left(this.steady()) ?? 0
    return left < 0 ? (-left / STORED_PER_HOUR[role]) * HOUR_S * 1000 : 0
  }

  store({ personId, role }: Pick<LiveSession, 'personId' | 'role'>, bytes: number): void {
    const now = this.steady()
    const perHour = STORED_PER_HOUR[role]
    const bucket = this.#people.get(personId) ?? new TokenBucket(perHour / HOUR_S, perHour, now)
    this.#people.delete(personId)
    this.#people.set(personId, bucket)
    bucket.take(bytes, now)
    const [oldest] = this.#people.keys()
    if (this.#people.size > MAX_PEOPLE && oldest !== undefined) this.#people.delete(oldest)
  }
}

/** What a person is told who has to wait. */
export const storedTooMuch = (role: Role, waitMs: number): string =>
  `You have saved ${STORED_PER_HOUR[role] / MIB} MiB within the hour, the limit for a ${role}. Your edits wait on this phone. They will be sent in ${Math.ceil(waitMs / 60_000)} min.`
