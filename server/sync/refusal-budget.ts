import { TokenBucket, type Limits } from './limits'

interface Account {
  bytes: TokenBucket
  lines: TokenBucket
  told: TokenBucket
}

const MAX_PEOPLE = 5_000
const HOUR_S = 3_600

/**
 * [S24] What a person's refused edits may leave behind, in the document (bytes that no compaction takes away) and in the audit trail. It outlives
 * sockets and devices. Memory is bounded: who was heard of longest ago is forgotten.
 */
export class RefusalBudget {
  readonly #accounts = new Map<string, Account>()
  constructor(
    readonly limits: Limits,
    readonly steady: () => number,
  ) {}

  /** Bytes that this person's refused edits may still leave in documents; below 0 after a big one. */
  bytesLeft(personId: string): number {
    return this.#of(personId).bytes.left(this.steady())
  }
  leave(personId: string, bytes: number): void {
    this.#of(personId).bytes.take(bytes, this.steady())
  }

  /** Whether one more refused edit may go into the audit trail. */
  mayAudit(personId: string): boolean {
    return this.#of(personId).lines.tryTake(this.steady())
  }
  /** Whether its attempted value, of so many characters, may go with it. */
  mayKeepAttempt(personId: string, length: number): boolean {
    const { told } = this.#of(personId)
    const now = this.steady()
    if (told.left(now) < length) return false
    told.take(length, now)
    return true
  }

  #of(personId: string): Account {
    let account = this.#accounts.get(personId)
    if (account) this.#accounts.delete(personId)
    else {
      const { refusedBytesPerHour: bytes, refusedAuditPerMinute: lines, attemptedPerHour: told } = this.limits
      const now = this.steady()
      account = {
        bytes: new TokenBucket(bytes / HOUR_S, bytes, now),
        lines: new TokenBucket(lines / 60, lines, now),
        told: new TokenBucket(told / HOUR_S, told, now),
      }
      const [oldest] = this.#accounts.keys()
      if (this.#accounts.size >= MAX_PEOPLE && oldest !== undefined) this.#accounts.delete(oldest)
    }
    this.#accounts.set(personId, account)
    return account
  }
}
