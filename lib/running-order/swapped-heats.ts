import type { HeatTitle, OrderChange } from './import-plan'

type Moved = Extract<OrderChange, { kind: 'time-moved' }>
type EntryMoved = Extract<OrderChange, { kind: 'entry-moved' }>

/**
 * Two heats that changed places are one piece of news: either their times were exchanged (beyond what the whole day moved by), or all of
 * their entries were. Everything else stays as it was said.
 */
export function sayHeatsSwapped(changes: readonly OrderChange[]): OrderChange[] {
  const said = [...changes]
  swapTimes(said)
  swapEntries(said)
  return said
}

function swapTimes(changes: OrderChange[]): void {
  const moved = changes.filter((c): c is Moved => c.kind === 'time-moved' && c.from !== null)
  const day = commonest(moved.map((c) => c.to - (c.from ?? 0)))
  // A shift that only two heats share is the swap itself, not the day's.
  const shift = day.times > 2 ? day.value : 0
  const taken = new Set<Moved>()
  for (const [i, a] of moved.entries()) {
    if (taken.has(a)) continue
    const b = moved
      .slice(i + 1)
      .find(
        (o) =>
          !taken.has(o) &&
          o.from !== a.from &&
          a.to - (o.from ?? 0) === shift &&
          o.to - (a.from ?? 0) === shift,
      )
    if (!b) continue
    taken.add(a).add(b)
    swap(changes, [a, b], a.heat, b.heat)
  }
}

function swapEntries(changes: OrderChange[]): void {
  const moved = changes.filter((c): c is EntryMoved => c.kind === 'entry-moved')
  const between = new Map<string, EntryMoved[]>()
  for (const c of moved) {
    const key = [c.from.heatId, c.heat.heatId].sort().join(' ')
    between.set(key, [...(between.get(key) ?? []), c])
  }
  for (const group of between.values()) {
    const [first] = group
    const back = group.find((c) => c.from.heatId === first?.heat.heatId)
    if (!first || !back) continue
    const heats = new Set([first.heat.heatId, first.from.heatId])
    const others = changes.some(
      (c) =>
        (c.kind === 'entry-moved' &&
          !group.includes(c) &&
          (heats.has(c.heat.heatId) || heats.has(c.from.heatId))) ||
        ((c.kind === 'entry-added' || c.kind === 'entry-removed') && heats.has(c.heat.heatId)),
    )
    // A few racers who change heats are named one by one; only whole heats are swapped.
    if (!others && group.length > 2) swap(changes, group, first.from, first.heat)
  }
}

function swap(changes: OrderChange[], gone: readonly OrderChange[], heat: HeatTitle, other: HeatTitle): void {
  const at = changes.indexOf(gone[0] as OrderChange)
  changes[at] = { kind: 'heats-swapped', heat, other, ours: gone.some((c) => c.ours) }
  for (const c of gone.slice(1)) changes.splice(changes.indexOf(c), 1)
}

function commonest(values: readonly number[]): { value: number; times: number } {
  const counts = new Map<number, number>()
  for (const v of values) counts.set(v, (counts.get(v) ?? 0) + 1)
  let best = { value: 0, times: 0 }
  for (const [value, times] of counts) if (times > best.times) best = { value, times }
  return best
}
