import { PHOTO_BYTES } from '@/lib/core/photo-limits'

const MIB = 1024 * 1024

/** What an archive may be at most. Beyond what a team's board can hold; our choice, so that reading one never takes more than this server has. */
export interface ArchiveLimits {
  /** The whole file, bytes: all photos that a board may keep, and the rest. */
  fileBytes: number
  parts: number
  /** One part of each kind, unpacked, bytes. Documents and manifest are read whole. */
  document: number
  manifest: number
  photo: number
  other: number
  /** All parts, unpacked: bytes, and how many times the file. Text of boards and histories packs to a tenth or a twentieth. */
  unpackedBytes: number
  unpackedTimes: number
  /** One line of a history, or of a list of photos, bytes. */
  line: number
}

/**
 * Values, and lines of history, of a room that people see that are written at once: whole or not at all, even if the power goes. A room of which more changes is taken in
 * parts, for nobody's edit may wait for seconds.
 */
export const SEEN_AT_ONCE = 20_000

export const ARCHIVE_LIMITS: ArchiveLimits = {
  fileBytes: 2 * 1024 * MIB,
  parts: 60_000,
  document: 32 * MIB,
  manifest: 16 * MIB,
  photo: PHOTO_BYTES,
  other: 1024 * MIB,
  unpackedBytes: 12 * 1024 * MIB,
  unpackedTimes: 200,
  line: 1 * MIB,
}
