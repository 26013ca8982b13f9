import type { ChargeColumn, Entry, UseColumn } from './charge-columns'
import type { ChargeInstance, InstancePack, InstanceRun } from './charge-instance'
import { alike } from './charge-instance'
import type { ChargeModel } from './charge-model'
import type { Goal } from './charge-types'
import { highestUse } from './pack-rows'
import type { MilpSolver } from '../solver/milp'
import { MilpBuilder } from '../solver/milp'
import { solveGoals } from '../solver/solve-goals'

/** One run of a solution: which pack, and its charge unless the pack was full. */
export interface Chosen {
  use: UseColumn
  charge: ChargeColumn | null
}

export function chosenOf(model: ChargeModel, values: Float64Array): Chosen[] {
  const on = (column: number): boolean => (values[column] ?? 0) > 0.5
  const charges = new Map(model.charges.filter((c) => on(c.column)).map((c) => [c.run, c]))
  return model.uses
    .filter((u) => on(u.column))
    .map((use) => ({ use, charge: use.classKey === null ? null : (charges.get(use.run) ?? null) }))
}

/** Pairs of uses of one pack in which the later one's charge begins before the earlier one's pack is free. */
export function brokenPairs(
  instance: ChargeInstance,
  chosen: readonly Chosen[],
): { pack: InstancePack; before: InstanceRun; after: Chosen }[] {
  const broken: { pack: InstancePack; before: InstanceRun; after: Chosen }[] = []
  for (const pack of instance.packs) {
    if (instance.dropped.has(`pack:${pack.pack.id}`)) continue
    const own = chosen.filter((c) => c.use.pack === pack).sort((a, b) => a.use.run.again - b.use.run.again)
    own.forEach((after, k) => {
      const before = own[k - 1]?.use.run
      if (before && after.charge && after.charge.start < before.again) broken.push({ pack, before, after })
    })
  }
  return broken
}

/**
 * Cuts off a broken pair, for every pack that charges like the one it broke on (or the solver would only change
 * packs): whoever powers `before` (or another run of the same moment, of which a pack can have but one) and then
 * `after` begins charging for `after` no earlier than `before` frees the pack.
 */
export function timingCuts(
  model: ChargeModel,
  before: InstanceRun,
  after: Chosen,
  already: Set<string>,
): { upper: number; entries: Entry[] }[] {
  const { charge } = after
  if (!charge) return []
  const cuts: { upper: number; entries: Entry[] }[] = []
  const like = model.uses.filter((u) => u.run === charge.run && u.classKey === charge.classKey)
  const tooSoon = model.charges.filter(
    (c) => c.run === charge.run && c.classKey === charge.classKey && c.start < before.again,
  )
  for (const pack of new Set(like.map((u) => u.pack))) {
    const key = `${pack.pack.id}/${before.run.id}/${charge.run.run.id}/${charge.classKey}`
    if (already.has(key)) continue
    already.add(key)
    const target = like.filter((u) => u.pack === pack)
    const lastStart = Math.max(...target.map((u) => u.latest))
    // All of these hold the pack at the moment before `before` frees it, so they exclude one another.
    const holding = model.uses.filter(
      (u) =>
        u.pack === pack &&
        u.run !== charge.run &&
        u.run.again >= before.again &&
        u.run.again <= lastStart &&
        (u.first || u.latest < before.again),
    )
    if (holding.length)
      cuts.push({ upper: 2, entries: [...holding, ...target, ...tooSoon].map((c): Entry => [c.column, 1]) })
  }
  return cuts
}

/**
 * The cuts of `timingCuts` for every pair that the columns still open allow. Many, so only for a program that has
 * already broken some, on a face where few columns are left.
 */
export function everyTimingCut(
  instance: ChargeInstance,
  model: ChargeModel,
  upper: readonly number[],
  already: Set<string>,
): { upper: number; entries: Entry[] }[] {
  const isOpen = (c: { column: number }): boolean => (upper[c.column] ?? 0) > 0
  const chargesOf = new Map<string, ChargeColumn[]>()
  for (const c of model.charges.filter(isOpen)) {
    const key = `${c.run.run.id}/${c.classKey}`
    chargesOf.set(key, [...(chargesOf.get(key) ?? []), c])
  }
  const cuts: { upper: number; entries: Entry[] }[] = []
  for (const pack of instance.packs) {
    if (instance.dropped.has(`pack:${pack.pack.id}`)) continue
    const own = model.uses.filter((u) => u.pack === pack && isOpen(u))
    for (const target of own) {
      if (target.first || target.classKey === null) continue
      const charges = chargesOf.get(`${target.run.run.id}/${target.classKey}`) ?? []
      const soonest = charges.reduce((s, c) => Math.min(s, c.start), Infinity)
      const before = own.filter(
        (u) => u.run !== target.run && u.run.again > soonest && u.run.again <= target.latest,
      )
      for (const moment of new Set(before.map((u) => u.run.again))) {
        const key = `${pack.pack.id}@${moment}/${target.run.run.id}/${target.classKey}`
        if (already.has(key)) continue
        already.add(key)
        const holding = before.filter((u) => u.run.again >= moment && (u.first || u.latest < moment))
        const tooSoon = charges.filter((c) => c.start < moment)
        cuts.push({ upper: 2, entries: [...holding, target, ...tooSoon].map((c): Entry => [c.column, 1]) })
      }
    }
  }
  return cuts
}

/**
 * Deals the packs out again to the charges of a solution, each at the time it has, so that every pack's own timeline
 * holds. Gives null when that cannot be done. The uses are the best there are for these charges, goal by goal.
 */
export function rematch(
  instance: ChargeInstance,
  model: ChargeModel,
  chosen: readonly Chosen[],
  goals: readonly Goal[],
  solver: MilpSolver,
  timeLimitSeconds: number,
): Chosen[] | null {
  const byRun = new Map(chosen.map((c) => [c.use.run, c]))
  const b = new MilpBuilder()
  const costs = new Map(goals.map((g) => [g, new Map<number, number>()]))
  const candidates: { use: UseColumn; column: number; start: number }[] = []
  const covers = new Map<InstanceRun, Entry[]>()
  for (const use of model.uses) {
    const now = byRun.get(use.run)
    if (!now) continue
    const fits = now.charge
      ? use.classKey === now.charge.classKey && use.earliest <= now.charge.start
      : use.classKey === null
    if (!fits) continue
    const column = b.column(1)
    for (const [goal, own] of costs) {
      const cost = goal === 'cycles' ? 0 : (model.costs[goal].get(use.column) ?? 0)
      if (cost !== 0) own.set(column, cost)
    }
    candidates.push({ use, column, start: now.charge?.start ?? use.earliest })
    const row = covers.get(use.run) ?? []
    row.push([column, 1])
    covers.set(use.run, row)
  }
  for (const entries of covers.values()) b.row(1, 1, entries)
  for (const pack of instance.packs) {
    const own = candidates.filter((c) => c.use.pack === pack)
    if (own.length === 0) continue
    if (!instance.dropped.has(`pack:${pack.pack.id}`)) exactPackRows(b, pack, own)
    const uses = own.map((c): Entry => [c.column, 1])
    const most = highestUse(
      instance,
      pack,
      own.map((c) => c.use),
    )
    for (let k = 1; k <= most; k++) {
      const column = b.column(1)
      costs.get('cycles')?.set(column, pack.wearBand + k - 1)
      uses.push([column, -1])
    }
    b.row(0, 0, uses)
  }
  const found = solveGoals(b.milp, [...costs.values()], solver, timeLimitSeconds)
  if (!found) return null
  return candidates
    .filter((c) => (found.values[c.column] ?? 0) > 0.5)
    .map((c) => ({ use: c.use, charge: byRun.get(c.use.run)?.charge ?? null }))
}

function exactPackRows(
  b: MilpBuilder,
  pack: InstancePack,
  own: readonly { use: UseColumn; column: number; start: number }[],
): void {
  const first = own.filter((c) => c.use.first)
  const later = own.filter((c) => !c.use.first)
  if (first.length)
    b.row(
      -Infinity,
      1,
      first.map((c): Entry => [c.column, 1]),
    )
  for (const moment of new Set(own.map((c) => c.use.run.again))) {
    const busy = later.filter((c) => c.start < moment && c.use.run.again >= moment)
    if (busy.length === 0) continue
    b.row(-Infinity, alike(pack) ? 1 : 0, [
      ...busy.map((c): Entry => [c.column, 1]),
      ...first.filter((c) => c.use.run.again < moment).map((c): Entry => [c.column, -1]),
    ])
  }
}
