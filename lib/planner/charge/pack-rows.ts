import type { Entry, UseColumn } from './charge-columns'
import type { ChargeInstance, InstancePack } from './charge-instance'
import { alike } from './charge-instance'
import type { MilpBuilder } from '../solver/milp'

/** Each pack's uses one after another, with room for the shortest charge between. */
export function packRows(instance: ChargeInstance, b: MilpBuilder, uses: readonly UseColumn[]): void {
  for (const pack of instance.packs) {
    if (instance.dropped.has(`pack:${pack.pack.id}`)) continue
    const own = uses.filter((u) => u.pack === pack)
    const first = own.filter((u) => u.first)
    if (first.length)
      b.row(
        -Infinity,
        1,
        first.map((u): Entry => [u.column, 1]),
      )
    idleFlow(b, own, alike(pack) ? 1 : 0)
  }
}

/**
 * One pack idle from moment to moment: each run that ends frees it, each charge that begins at the latest takes it,
 * and it is never idle less than not at all. The same as one row of all that keep it busy for each moment, with a
 * tenth of the entries.
 */
function idleFlow(b: MilpBuilder, own: readonly UseColumn[], toBeginWith: 0 | 1): void {
  const later = own.filter((u) => !u.first)
  const moments = [...new Set(own.map((u) => u.run.again))].sort((x, y) => x - y)
  const taking = (from: number, to: number): Entry[] =>
    later.filter((u) => u.latest >= from && u.latest < to).map((u): Entry => [u.column, -1])
  let idle = b.column(toBeginWith)
  b.row(toBeginWith, toBeginWith, [
    [idle, 1],
    ...taking(-Infinity, moments[0] ?? Infinity).map(([column]): Entry => [column, 1]),
  ])
  moments.forEach((moment, k) => {
    const next = b.column(1)
    const freeing = own.filter((u) => u.run.again === moment).map((u): Entry => [u.column, 1])
    b.row(0, 0, [[idle, 1], ...freeing, ...taking(moment, moments[k + 1] ?? Infinity), [next, -1]])
    idle = next
  })
}

/**
 * The k-th use of a pack today costs band + k − 1: summed over its uses, half of what (band + uses)² grows by, less
 * half the uses. Every run is a use, so that only halves and shifts the goal, and a bound counts double.
 */
export function cycleColumns(
  instance: ChargeInstance,
  b: MilpBuilder,
  uses: readonly UseColumn[],
  cost: (column: number, cost: number) => void,
): void {
  for (const pack of instance.packs) {
    const own = uses.filter((u) => u.pack === pack)
    const entries = own.map((u): Entry => [u.column, 1])
    for (let k = 1; k <= highestUse(instance, pack, own); k++) {
      const column = b.column(1)
      cost(column, pack.wearBand + k - 1)
      entries.push([column, -1])
    }
    if (entries.length) b.row(0, 0, entries)
  }
}

/** The most uses that a pack can have today. */
export const highestUse = (
  instance: ChargeInstance,
  pack: InstancePack,
  own: readonly UseColumn[],
): number =>
  instance.dropped.has(`pack:${pack.pack.id}`) ? new Set(own.map((u) => u.run)).size : mostUses(own)

/** The longest chain of uses with the shortest charges between. */
export function mostUses(own: readonly UseColumn[]): number {
  const byEnd = [...own].sort((a, b) => a.run.again - b.run.again)
  const chain = (from: number): number => {
    let free = from
    let count = 0
    for (const u of byEnd) {
      if (u.first || u.latest < free) continue
      free = u.run.again
      count++
    }
    return count
  }
  const firsts = own.filter((u) => u.first)
  if (firsts.length === 0) return chain(-Infinity)
  return 1 + chain(Math.min(...firsts.map((u) => u.run.again)))
}
