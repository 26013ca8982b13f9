import type { ChargeModel } from './charge-model'
import type { Goal } from './charge-types'
import type { Chosen } from './timing'

/**
 * What a choice of packs and charges costs under a goal, in the model's own units: the spread of cycles is counted as
 * half of what `GoalValues` says less half the runs (see `cycleColumns`), every other goal as it is.
 */
export function chosenCost(model: ChargeModel, goal: Goal, chosen: readonly Chosen[]): number {
  if (goal === 'cycles') {
    const count = new Map<Chosen['use']['pack'], number>()
    for (const c of chosen) count.set(c.use.pack, (count.get(c.use.pack) ?? 0) + 1)
    let sum = 0
    for (const [pack, n] of count) sum += pack.wearBand * n + (n * (n - 1)) / 2
    return sum
  }
  const costs = model.costs[goal]
  return chosen.reduce(
    (sum, c) => sum + (costs.get(c.use.column) ?? 0) + (c.charge ? (costs.get(c.charge.column) ?? 0) : 0),
    0,
  )
}

/** A cost of the model in the units of `GoalValues`. */
export const valueOfCost = (goal: Goal, cost: number, runs: number): number =>
  goal === 'cycles' ? 2 * cost + runs : cost
