import { createHash, randomBytes, timingSafeEqual } from 'node:crypto'
import type { RandomBytes } from '@/lib/join/join-code'

/**
 * What the database keeps of a token or code. A plain SHA-256 is enough because both are random and long (256 and 80 bits); the purpose goes into the hash so that one can never be taken for the other.
 */
export const hashSecret = (purpose: 'session' | 'code' | 'feed' | 'operator', secret: string): string =>
  createHash('sha256').update(`${purpose}:${secret}`).digest('hex')

/** Compare two hashes in the same time wherever they differ. */
export function sameHash(a: string, b: string): boolean {
  const [x, y] = [Buffer.from(a), Buffer.from(b)]
  return x.length === y.length && timingSafeEqual(x, y)
}

export const secureRandom: RandomBytes = (length) => randomBytes(length)
