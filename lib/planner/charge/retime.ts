import type { ChargeColumn, Entry, UseColumn } from './charge-columns'
import type { ChargeInstance, InstanceRun } from './charge-instance'
import type { ChargeModel } from './charge-model'
import { channelRows } from './charge-model'
import type { Goal } from './charge-types'
import type { Chosen } from './timing'
import type { MilpSolver } from '../solver/milp'
import { MilpBuilder } from '../solver/milp'

/** Costs of the charges in the order of the goals, for timing a given choice of packs. */
export function chargeCosts(model: ChargeModel, goals: readonly Goal[]): number[] {
  const cost = new Array<number>(model.milp.cost.length).fill(0)
  const timed = goals.filter((g) => g === 'held' || g === 'changes')
  timed.forEach((goal, k) => {
    const next = timed[k + 1]
    const weight = next ? greatestOfCharges(model, next) + 1 : 1
    for (const c of model.charges)
      cost[c.column] = (cost[c.column] ?? 0) + weight * (model.costs[goal].get(c.column) ?? 0)
  })
  return cost
}

function greatestOfCharges(model: ChargeModel, goal: Goal): number {
  const perRun = new Map<InstanceRun, number>()
  for (const c of model.charges)
    perRun.set(c.run, Math.max(perRun.get(c.run) ?? 0, model.costs[goal].get(c.column) ?? 0))
  return [...perRun.values()].reduce((a, b) => a + b, 0)
}

/** A run that is not charged costs this much more than any wait. */
const UNCHARGED = 10_000

/**
 * Times the charges for a choice of packs: which option, on which kind of channel, from when; the best there is for
 * these packs. Null when they cannot be charged in time, whatever the order, or when time ran out. With `leavingOut`,
 * as few runs as need be are left uncharged instead, with no charge in the answer.
 */
export function retime(
  instance: ChargeInstance,
  model: ChargeModel,
  uses: readonly UseColumn[],
  cost: readonly number[],
  solver: MilpSolver,
  timeLimitSeconds: number,
  leavingOut = false,
): Chosen[] | null {
  const b = new MilpBuilder()
  const byRun = new Map(uses.map((u) => [u.run, u]))
  const earliest = new Map(uses.map((u) => [u.run, u.earliest]))
  for (const pack of instance.packs) {
    if (instance.dropped.has(`pack:${pack.pack.id}`)) continue
    const own = uses.filter((u) => u.pack === pack).sort((x, y) => x.run.again - y.run.again)
    own.forEach((u, k) => {
      const before = own[k - 1]
      if (before) earliest.set(u.run, Math.max(u.earliest, before.run.again))
    })
  }
  const columns: ChargeColumn[] = []
  const original = new Map<number, ChargeColumn>()
  const covers = new Map<InstanceRun, Entry[]>()
  for (const u of uses) if (u.classKey !== null) covers.set(u.run, [])
  for (const c of model.charges) {
    if (byRun.get(c.run)?.classKey !== c.classKey || c.start < (earliest.get(c.run) ?? 0)) continue
    const column = b.column(1)
    b.milp.cost[column] = cost[c.column] ?? 0
    columns.push({ ...c, column })
    original.set(column, c)
    covers.get(c.run)?.push([column, 1])
  }
  for (const entries of covers.values()) {
    if (leavingOut) {
      const column = b.column(1)
      b.milp.cost[column] = UNCHARGED
      entries.push([column, 1])
    }
    if (entries.length === 0) return null
    b.row(1, 1, entries)
  }
  channelRows(instance, b, columns)
  if (columns.length === 0) return uses.map((use) => ({ use, charge: null }))
  const { values } = solver.solve(b.milp, {
    timeLimitSeconds,
    absoluteGap: leavingOut ? UNCHARGED * 0.9 : 0.99,
    relativeGap: 0,
  })
  if (!values) return null
  const charges = new Map<InstanceRun, ChargeColumn>()
  for (const [column, c] of original) if ((values[column] ?? 0) > 0.5) charges.set(c.run, c)
  return uses.map((use) => ({ use, charge: charges.get(use.run) ?? null }))
}
