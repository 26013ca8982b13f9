import { sha256 } from '@noble/hashes/sha2.js'

const ALPHABET = '23456789abcdefghjkmnpqrstuvwxyz'

/**
 * An id made from what a record is, in the form of `newId`. Two phones that import the same running order while offline create the same
 * heats, which then merge instead of standing there twice.
 */
export function stableId(kind: string, ...parts: string[]): string {
  const hash = sha256(new TextEncoder().encode([kind, ...parts].join('\u0000')))
  let id = ''
  for (const b of hash.subarray(0, 12)) id += ALPHABET[b % ALPHABET.length] ?? ''
  return id
}
