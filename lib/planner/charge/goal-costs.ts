import type { ChargeInstance, InstanceRun } from './charge-instance'
import type { ChargeModel } from './charge-model'
import { mostUses } from './charge-model'
import type { Goal } from './charge-types'
import type { Chosen } from './timing'

/** The greatest value that a goal can take in any plan of this model. */
export function greatestValue(model: ChargeModel, instance: ChargeInstance, goal: Goal): number {
  const costs = model.costs[goal]
  if (goal === 'cycles') {
    const runs = instance.runs.length
    let most = 1
    for (const p of instance.packs) {
      const own = model.uses.filter((u) => u.pack === p)
      const uses = instance.dropped.has(`pack:${p.pack.id}`) ? runs : mostUses(own)
      most = Math.max(most, 2 * (p.wearBand + uses) - 1)
    }
    return runs * most
  }
  const perRun = new Map<InstanceRun, { use: number; charge: number }>()
  const note = (run: InstanceRun, key: 'use' | 'charge', column: number): void => {
    const seen = perRun.get(run) ?? { use: 0, charge: 0 }
    seen[key] = Math.max(seen[key], costs.get(column) ?? 0)
    perRun.set(run, seen)
  }
  for (const u of model.uses) note(u.run, 'use', u.column)
  for (const c of model.charges) note(c.run, 'charge', c.column)
  return [...perRun.values()].reduce((sum, r) => sum + r.use + r.charge, 0)
}

/** What a choice of packs and charges costs under a goal. */
export function chosenValue(model: ChargeModel, goal: Goal, chosen: readonly Chosen[]): number {
  if (goal === 'cycles') {
    const count = new Map<Chosen['use']['pack'], number>()
    for (const c of chosen) count.set(c.use.pack, (count.get(c.use.pack) ?? 0) + 1)
    let sum = 0
    for (const [pack, n] of count) sum += (pack.wearBand + n) ** 2 - pack.wearBand ** 2
    return sum
  }
  const costs = model.costs[goal]
  return chosen.reduce(
    (sum, c) => sum + (costs.get(c.use.column) ?? 0) + (c.charge ? (costs.get(c.charge.column) ?? 0) : 0),
    0,
  )
}

/** A pair of goals as one: no gain in the second, however great, is worth a unit of the first. */
export interface GoalPair {
  goals: readonly Goal[]
  weights: readonly number[]
}

export function goalPairs(model: ChargeModel, instance: ChargeInstance, goals: readonly Goal[]): GoalPair[] {
  const pairs: GoalPair[] = []
  for (let i = 0; i < goals.length; i += 2) {
    const pair = goals.slice(i, i + 2)
    const second = pair[1]
    pairs.push({ goals: pair, weights: second ? [greatestValue(model, instance, second) + 1, 1] : [1] })
  }
  return pairs
}

/** Adds the pair's costs to a cost vector, each goal's taken from `costsOf`. */
export function addCosts(
  cost: number[],
  pair: GoalPair,
  costsOf: (goal: Goal) => ReadonlyMap<number, number>,
): number[] {
  pair.goals.forEach((goal, k) => {
    for (const [column, c] of costsOf(goal))
      if (column < cost.length) cost[column] = (cost[column] ?? 0) + (pair.weights[k] ?? 1) * c
  })
  return cost
}

export const pairValue = (pair: GoalPair, value: (goal: Goal) => number): number =>
  pair.goals.reduce((sum, goal, k) => sum + (pair.weights[k] ?? 1) * value(goal), 0)

/**
 * Bounds of the single goals from the bound of a pair, given the values reached: the first goal's share is what the
 * second cannot make up; the second's counts only when the first is met.
 */
export function boundsOfPair(pair: GoalPair, bound: number, values: readonly number[]): number[] {
  const whole = Math.max(0, Math.ceil(bound - 1e-5))
  const weight = pair.weights[0] ?? 1
  const [first = 0, second = 0] = values
  if (pair.goals.length === 1) return [Math.min(first, whole)]
  const firstBound = Math.min(first, Math.max(0, Math.ceil((whole - (weight - 1)) / weight)))
  const secondBound = firstBound < first ? 0 : Math.min(second, Math.max(0, whole - weight * first))
  return [firstBound, secondBound]
}
