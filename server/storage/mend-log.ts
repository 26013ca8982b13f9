import {
  FRAME_HEADER,
  hex,
  holds,
  layoutOf,
  LOG_HEADER,
  LOG_MAGIC,
  sumOver,
  type Layout,
  type Sum,
} from './log-file'

export interface MendedLog {
  bytes: Uint8Array
  /** Each page that was damaged is held whole by a later frame: whoever reads to the end reads nothing of the damage. */
  whole: boolean
}

/**
 * A damaged log, written so that SQLite reads it up to frame `last`. Each frame's checksum goes on from the one stored with the frame before it,
 * so every frame can be judged by itself, however many before it do not hold.
 */
export function mendLog(original: Uint8Array, salt: string, last: number, pageBytes = 4096): MendedLog {
  const bytes = Uint8Array.from(original)
  const log = layoutOf(bytes, pageBytes)
  if (log.frames < last) return { bytes, whole: false }
  const damaged = new Map<number, number>()
  let whole = true
  let seeds = headerSums(log, salt)
  for (let n = 1; n <= last; n++) {
    const at = log.at(n)
    const sums = seeds.map((seed) => frameSum(log, n, seed))
    const stored = storedSum(log, at + 16)
    const good = sums.some((s) => holds(log.view, at + 16, s))
    const page = good ? log.view.getUint32(at) : trueHeader(log, n, seeds)
    if (!good && page === null) {
      // The page itself is damaged; its number stands in a header whose salt still tells that it was not hit.
      if (hex(log.view, at + 8, 8) !== salt) whole = false
      damaged.set(log.view.getUint32(at), n)
    } else damaged.delete(page ?? 0)
    seeds = good ? [stored] : [stored, ...sums]
    // Damage may have hit the checksum alone: then the next frame goes on from what it should have been.
    const next = n < last ? log.at(n + 1) + 16 : null
    if (
      !good &&
      page === null &&
      next !== null &&
      sums.some((s) => holds(log.view, next, frameSum(log, n + 1, s)))
    )
      damaged.delete(log.view.getUint32(at))
  }
  if (log.view.getUint32(log.at(last) + 4) === 0) whole = false
  rewriteSums(log, bytes, salt, last)
  return { bytes, whole: whole && damaged.size === 0 }
}

const storedSum = ({ view }: Layout, at: number): Sum => [view.getInt32(at), view.getInt32(at + 4)]

function frameSum({ view, at, pageBytes, little }: Layout, n: number, seed: Sum): Sum {
  const s: Sum = [...seed]
  sumOver(view, at(n), 8, s, little)
  sumOver(view, at(n) + FRAME_HEADER, pageBytes, s, little)
  return s
}

/** What the first frame's checksum may go on from: as stored, or as it should be, with the salt that is known from elsewhere too. */
function headerSums(log: Layout, salt: string): Sum[] {
  const computed: Sum = [0, 0]
  sumOver(log.view, 0, 24, computed, log.little)
  const copy = Uint8Array.from(new Uint8Array(log.view.buffer, log.view.byteOffset, LOG_HEADER))
  copy.set(Buffer.from(salt, 'hex'), 16)
  const salted: Sum = [0, 0]
  sumOver(new DataView(copy.buffer), 0, 24, salted, log.little)
  return [storedSum(log, 24), computed, salted]
}

/**
 * A frame whose page holds though its header's first words do not: put right which page it is and whether it ends a commit, where some number
 * makes the stored checksum hold. Null when none does.
 */
function trueHeader(log: Layout, n: number, seeds: readonly Sum[]): number | null {
  const { view, at, frames } = log
  const start = at(n)
  const before: readonly [number, number] = [view.getUint32(start), view.getUint32(start + 4)]
  const sizes = new Set([before[1], 0])
  const pages = new Set([before[0]])
  for (let i = 1; i <= frames; i++) {
    if (i === n) continue
    pages.add(view.getUint32(at(i)))
    sizes.add(view.getUint32(at(i) + 4))
  }
  for (const size of [...sizes].slice(0, 50))
    for (const page of [...pages].slice(0, 500)) {
      view.setUint32(start, page)
      view.setUint32(start + 4, size)
      if (page > 0 && seeds.some((seed) => holds(view, start + 16, frameSum(log, n, seed)))) return page
      if (size !== before[1] && page !== before[0]) break // two words wrong at once is not looked for
    }
  view.setUint32(start, before[0])
  view.setUint32(start + 4, before[1])
  return null
}

function rewriteSums({ view, at, pageBytes }: Layout, bytes: Uint8Array, salt: string, last: number): void {
  const little = true
  view.setUint32(0, LOG_MAGIC)
  view.setUint32(4, 3007000)
  view.setUint32(8, pageBytes)
  bytes.set(Buffer.from(salt, 'hex'), 16)
  const s: Sum = [0, 0]
  const put = (offset: number) => {
    view.setInt32(offset, s[0])
    view.setInt32(offset + 4, s[1])
  }
  sumOver(view, 0, 24, s, little)
  put(24)
  for (let n = 1; n <= last; n++) {
    const start = at(n)
    bytes.set(Buffer.from(salt, 'hex'), start + 8)
    sumOver(view, start, 8, s, little)
    sumOver(view, start + FRAME_HEADER, pageBytes, s, little)
    put(start + 16)
  }
}
