import { readFileSync } from 'node:fs'

/**
 * Where the frames of a write-ahead log end, bytes: those that carry the salt of its header. What follows is left over or reserved.
 * Format: https://www.sqlite.org/fileformat2.html#the_write_ahead_log
 */
export function endOfLog(file: string): number {
  const log = readFileSync(file)
  const [header, frameHeader, salt] = [32, 24, 16]
  if (log.length < header) return 0
  const pageBytes = log.readUInt32BE(8)
  let end = header
  while (end + frameHeader + pageBytes <= log.length) {
    const isOfThisLog = log.subarray(end + 8, end + 16).equals(log.subarray(salt, salt + 8))
    if (!isOfThisLog) break
    end += frameHeader + pageBytes
  }
  return end
}
