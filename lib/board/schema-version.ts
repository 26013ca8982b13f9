import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { COLLECTIONS } from './collections'
import type { FieldDef } from './field'

let version: string | null = null

/**
 * [S21] A digest of the collections, their fields and units: a page and a server with different ones do not mean the same by what they
 * write. Ranges don't count, the server judges them anyway.
 */
export const schemaVersion = (): string => (version ??= digest())

function digest(): string {
  const kinds: Record<string, Record<string, { fields: Record<string, FieldDef> }>> = COLLECTIONS
  const lines = Object.entries(kinds).flatMap(([kind, collections]) =>
    Object.entries(collections).flatMap(([collection, { fields }]) =>
      Object.entries(fields).map(([field, { unit, signed }]) =>
        JSON.stringify([kind, collection, field, unit ?? '', signed ?? false]),
      ),
    ),
  )
  return bytesToHex(sha256(utf8ToBytes(lines.sort().join('\n')))).slice(0, 16)
}
