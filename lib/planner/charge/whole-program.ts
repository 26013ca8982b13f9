import type { ChargeModel } from './charge-model'
import type { Goal } from './charge-types'
import { packCosts } from './pack-part'
import type { Milp, MilpRow } from '../solver/milp'
import { withRows } from '../solver/milp'

/** A goal whose cost is no more than this; the pack part by itself cannot be below `least`. */
export interface HeldGoal {
  goal: Goal
  cost: number
  least: number
}

/**
 * The whole program on a face of its pack part. Goals are held at their costs, with the charges left out that alone
 * cost more than a held goal has to spare.
 */
export function wholeOnFace(model: ChargeModel, face: Milp, held: readonly HeldGoal[]): Milp {
  const { milp, packPart } = model
  const { columns, rows } = packPart
  const upper = [...face.upper, ...milp.upper.slice(columns)]
  for (const h of held) {
    const least = packCosts(model, h.goal)
    const ownOfUse = model.costs[h.goal]
    const dearest = new Map<string, number>()
    for (const u of model.uses) {
      if (u.classKey === null) continue
      const key = `${u.run.run.id}/${u.classKey}`
      const charge = (least.get(u.column) ?? 0) - (ownOfUse.get(u.column) ?? 0)
      dearest.set(key, Math.max(dearest.get(key) ?? 0, charge))
    }
    for (const c of model.charges) {
      const extra = (ownOfUse.get(c.column) ?? 0) - (dearest.get(`${c.run.run.id}/${c.classKey}`) ?? 0)
      if (extra > h.cost - h.least) upper[c.column] = 0
    }
  }
  const added: MilpRow[] = []
  for (let row = rows; row < face.rowLower.length; row++) {
    const from = face.rowStart[row] ?? 0
    const to = face.rowStart[row + 1] ?? from
    added.push({
      lower: face.rowLower[row] ?? -Infinity,
      upper: face.rowUpper[row] ?? Infinity,
      entries: face.index.slice(from, to).map((column, i) => [column, face.value[from + i] ?? 0]),
    })
  }
  for (const h of held)
    if (h.goal === 'held' || h.goal === 'changes')
      added.push({ upper: h.cost, entries: [...model.costs[h.goal]] })
  return withRows(
    {
      ...milp,
      lower: [...face.lower, ...milp.lower.slice(columns)],
      upper,
      rowLower: [...face.rowLower.slice(0, rows), ...milp.rowLower.slice(rows)],
      rowUpper: [...face.rowUpper.slice(0, rows), ...milp.rowUpper.slice(rows)],
    },
    added,
  )
}
