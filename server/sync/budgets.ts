import type { Role } from '@/lib/core/role'
import type { LiveSession } from '../join/live-session'

/** Who pays for a message or request: a session, or a stranger's address. */
export interface Payer {
  /** Null for who has not joined. */
  session: Pick<LiveSession, 'personId' | 'role' | 'invitationId'> | null
  /** See `clientAddress`; absent where there is no line. */
  address?: string | undefined
}

/** ms of the server's time: how many per second on the long run, and how many at once. */
export interface Rate {
  perSecond: number
  burst: number
}

/**
 * [S25] What people may take of the server's time. A phone that works takes 1 or 2 ms a second; one that comes back after hours, or loads a
 * big board, 100 to 1,000 once.
 */
export const RATES: Record<Role, { person: Rate; invitation: Rate }> = {
  manager: { person: { perSecond: 400, burst: 4_000 }, invitation: { perSecond: 600, burst: 8_000 } },
  mechanic: { person: { perSecond: 250, burst: 2_500 }, invitation: { perSecond: 400, burst: 5_000 } },
  driver: { person: { perSecond: 100, burst: 1_000 }, invitation: { perSecond: 200, burst: 3_000 } },
  guest: { person: { perSecond: 25, burst: 150 }, invitation: { perSecond: 60, burst: 500 } },
}
/** Guests behind one address, and all guests together. The crew has none by address: at a track it is often one for everybody. */
const GUESTS_OF_ADDRESS: Rate = { perSecond: 60, burst: 500 }
const ALL_GUESTS: Rate = { perSecond: 100, burst: 400 }
/** Whoever has not joined, behind one address and all together. A crew that joins at once, some 20 ms each, is let in as fast as that goes. */
const STRANGERS_OF_ADDRESS: Rate = { perSecond: 100, burst: 500 }
const ALL_STRANGERS: Rate = { perSecond: 120, burst: 600 }

const MAX_KEYS = 5_000

interface Bucket extends Rate {
  tokens: number
  at: number
}

/**
 * Buckets of the server's time that outlive sockets. A bucket may go into debt (what a message really costs is known afterwards); whoever has
 * debt waits. Memory is bounded: a full bucket is as good as none, and those longest untouched are forgotten.
 */
export class Budgets {
  readonly #buckets = new Map<string, Bucket>()

  /**
   * @param steady ms by a clock that only goes forward
   * @param all what everybody together may take, where the server serves other boards too
   */
  constructor(
    readonly steady: () => number,
    readonly all: Rate | null = null,
  ) {}

  /** How long until this payer may be served, ms; 0 for now. */
  waitOf(payer: Payer): number {
    const now = this.steady()
    let wait = 0
    for (const [key, rate] of this.#of(payer)) {
      const known = this.#buckets.get(key)
      if (!known) continue
      fill(known, now)
      if (known.tokens < 0) wait = Math.max(wait, (-known.tokens / rate.perSecond) * 1000)
    }
    return wait
  }

  /** Take `ms` of the server's time from all of the payer's buckets. */
  charge(payer: Payer, ms: number): void {
    const now = this.steady()
    for (const [key, rate] of this.#of(payer)) {
      const known = this.#buckets.get(key)
      const bucket = known ?? { ...rate, tokens: rate.burst, at: now }
      if (known) {
        fill(known, now)
        this.#buckets.delete(key)
      }
      // A role may have changed since.
      bucket.perSecond = rate.perSecond
      bucket.burst = rate.burst
      bucket.tokens -= ms
      this.#buckets.set(key, bucket)
    }
    for (const [oldest] of this.#buckets) {
      if (this.#buckets.size <= MAX_KEYS) break
      this.#buckets.delete(oldest)
    }
  }

  get keys(): number {
    return this.#buckets.size
  }

  #of(payer: Payer): [string, Rate][] {
    return this.all === null ? bucketsOf(payer) : [...bucketsOf(payer), ['all', this.all]]
  }
}

function fill(bucket: Bucket, now: number): void {
  const earned = (Math.max(0, now - bucket.at) / 1000) * bucket.perSecond
  bucket.tokens = Math.min(bucket.burst, bucket.tokens + earned)
  bucket.at = now
}

function bucketsOf({ session, address }: Payer): [string, Rate][] {
  if (!session)
    return [
      [`strangers at ${address ?? ''}`, STRANGERS_OF_ADDRESS],
      ['strangers', ALL_STRANGERS],
    ]
  const { personId, role, invitationId } = session
  const { person, invitation } = RATES[role]
  const of: [string, Rate][] = [[`person ${personId}`, person]]
  if (invitationId) of.push([`invitation ${invitationId}`, invitation])
  if (role !== 'guest') return of
  if (address !== undefined) of.push([`guests at ${address}`, GUESTS_OF_ADDRESS])
  of.push(['guests', ALL_GUESTS])
  return of
}
