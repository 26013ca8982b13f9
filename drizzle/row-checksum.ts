import { crc32 } from 'node:zlib'

type Cell = string | number | boolean | null | Uint8Array

/**
 * CRC-32 (ISO 3309 / ITU-T V.42, as in zlib) over a row's values in column order. A CRC-32 finds every single flipped byte; it is no
 * protection against somebody who writes to the file on purpose, who could compute it anew.
 */
export function rowChecksum(cells: readonly Cell[]): number {
  let sum = 0
  // One call for each run of plain cells: the sum over the parts is the sum over the whole, and the calls cost more than the summing.
  let text = ''
  for (const cell of cells) {
    if (!(cell instanceof Uint8Array)) {
      text += `${JSON.stringify(typeof cell === 'boolean' ? Number(cell) : cell)};`
      continue
    }
    sum = crc32(`${text}b${cell.byteLength};`, sum)
    text = ''
    // zlib answers 0 instead of the running sum for some empty buffers.
    if (cell.byteLength > 0) sum = crc32(cell, sum)
  }
  return text === '' ? sum : crc32(text, sum)
}
