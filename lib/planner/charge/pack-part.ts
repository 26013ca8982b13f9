import type { ChargeColumn, UseColumn } from './charge-columns'
import type { ChargeModel } from './charge-model'
import type { Goal } from './charge-types'
import type { Milp } from '../solver/milp'

/**
 * The part of the program that knows of packs and runs only. It is a relaxation (channels, power and hands are
 * missing), small, and nearly always tells the value of the whole: what it proves best, a good timing then attains.
 */
export function packProgram(model: ChargeModel): Milp {
  const { columns, rows } = model.packPart
  const { milp } = model
  const entries = milp.rowStart[rows] ?? 0
  return {
    cost: new Array<number>(columns).fill(0),
    lower: milp.lower.slice(0, columns),
    upper: milp.upper.slice(0, columns),
    integer: milp.integer.slice(0, columns),
    rowLower: milp.rowLower.slice(0, rows),
    rowUpper: milp.rowUpper.slice(0, rows),
    rowStart: milp.rowStart.slice(0, rows + 1),
    index: milp.index.slice(0, entries),
    value: milp.value.slice(0, entries),
  }
}

/** Costs of a goal on the pack part's columns: a use pays for the cheapest charge that it could have. */
export function packCosts(model: ChargeModel, goal: Goal): Map<number, number> {
  const costs = new Map<number, number>()
  for (const [column, c] of model.costs[goal]) if (column < model.packPart.columns) costs.set(column, c)
  if (goal === 'match' || goal === 'cycles') return costs
  const charges = new Map<string, ChargeColumn[]>()
  for (const c of model.charges) {
    const key = `${c.run.run.id}/${c.classKey}`
    const list = charges.get(key)
    if (list) list.push(c)
    else charges.set(key, [c])
  }
  for (const use of model.uses) {
    if (use.classKey === null) continue
    let least = Infinity
    for (const c of charges.get(`${use.run.run.id}/${use.classKey}`) ?? [])
      if (c.start >= use.earliest) least = Math.min(least, model.costs[goal].get(c.column) ?? 0)
    if (Number.isFinite(least) && least > 0) costs.set(use.column, (costs.get(use.column) ?? 0) + least)
  }
  return costs
}

export const usesOf = (model: ChargeModel, values: Float64Array): UseColumn[] =>
  model.uses.filter((u) => (values[u.column] ?? 0) > 0.5)
