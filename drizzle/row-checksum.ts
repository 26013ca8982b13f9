import { crc32 } from 'node:zlib'

type Cell = string | number | boolean | null | Uint8Array

/**
 * CRC-32 (ISO 3309 / ITU-T V.42, as in zlib) over a row's values in column order. A CRC-32 finds every single flipped byte; it is no
 * protection against somebody who writes to the file on purpose, who could compute it anew.
 */
export function rowChecksum(cells: readonly Cell[]): number {
  let sum = 0
  for (const cell of cells) {
    if (!(cell instanceof Uint8Array))
      sum = crc32(`${JSON.stringify(typeof cell === 'boolean' ? Number(cell) : cell)};`, sum)
    else {
      sum = crc32(`b${cell.byteLength};`, sum)
      // zlib answers 0 instead of the running sum for some empty buffers.
      if (cell.byteLength > 0) sum = crc32(cell, sum)
    }
  }
  return sum
}
