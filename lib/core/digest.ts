import { sha256 } from '@noble/hashes/sha2.js'
import { bytesToHex, utf8ToBytes } from '@noble/hashes/utils.js'
import { canonicalJson } from './json'

/** SHA-256 (first 128 bits, hex) of a value's canonical JSON. Computed in plain code: on a LAN without HTTPS there is no `crypto.subtle`. */
export const digestOf = (value: unknown): string =>
  bytesToHex(sha256(utf8ToBytes(canonicalJson(value)))).slice(0, 32)
