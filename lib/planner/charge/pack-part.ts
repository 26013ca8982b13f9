import type { ChargeInstance } from './charge-instance'
import type { ChargeColumn, ChargeModel, Entry, UseColumn } from './charge-model'
import { alike } from './charge-model'
import type { Goal } from './charge-types'
import type { Milp } from './milp'
import { withRows } from './milp'

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

/** Steps of slack between a pack coming free and the latest start of its next charge that make a comfortable day. */
const COMFORT_STEPS = [2, 4]
const TIGHT_PENALTY = 4

export type TightPairs = readonly { holding: readonly UseColumn[]; target: readonly UseColumn[] }[]

/**
 * The same program asked for the most comfortable of its plans: every turnaround of a pack that has less slack than
 * the steps above costs one, and those that stood in the way of a timing cost more. Such plans leave the channels
 * room, so that the charges can be timed. `values` is a solution of the program to begin with.
 */
export function comfortProgram(
  instance: ChargeInstance,
  model: ChargeModel,
  program: Milp,
  tight: TightPairs,
  values: Float64Array,
): { milp: Milp; start: number[] } {
  const milp = withRows({ ...program, cost: new Array<number>(program.cost.length).fill(0) }, [])
  milp.lower = [...program.lower]
  milp.upper = [...program.upper]
  milp.integer = [...program.integer]
  const start = Array.from(values.subarray(0, program.cost.length))
  const soft = (allowed: number, entries: readonly Entry[], cost: number): void => {
    const over = milp.cost.length
    milp.cost.push(cost)
    milp.lower.push(0)
    milp.upper.push(Infinity)
    milp.integer.push(false)
    let activity = 0
    for (const [column, value] of entries) {
      milp.index.push(column)
      milp.value.push(value)
      activity += value * (values[column] ?? 0)
    }
    milp.index.push(over)
    milp.value.push(-1)
    milp.rowLower.push(-Infinity)
    milp.rowUpper.push(allowed)
    milp.rowStart.push(milp.index.length)
    start.push(Math.max(0, Math.round(activity) - allowed))
  }
  for (const p of instance.packs) {
    if (instance.dropped.has(`pack:${p.pack.id}`)) continue
    const own = model.uses.filter((u) => u.pack === p)
    const later = own.filter((u) => !u.first)
    for (const moment of new Set(own.map((u) => u.run.again)))
      for (const steps of COMFORT_STEPS) {
        const busy = later.filter((u) => u.latest - steps < moment && u.run.again >= moment)
        if (busy.length === 0) continue
        const done = own.filter((u) => u.first && u.run.again < moment)
        const entries = [...busy.map((u): Entry => [u.column, 1]), ...done.map((u): Entry => [u.column, -1])]
        soft(alike(p) ? 1 : 0, entries, 1)
      }
  }
  for (const { holding, target } of tight)
    soft(1, [...holding, ...target].map((u): Entry => [u.column, 1]), TIGHT_PENALTY)
  return { milp, start }
}

export const usesOf = (model: ChargeModel, values: Float64Array): UseColumn[] =>
  model.uses.filter((u) => (values[u.column] ?? 0) > 0.5)
