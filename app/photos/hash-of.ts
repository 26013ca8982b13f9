import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex } from '@noble/hashes/utils.js'

/** SHA-256 as the name of a picture. Not by the browser's own, which plain HTTP does not have. */
export const hashOf = (bytes: Uint8Array): string => bytesToHex(sha256(bytes))
