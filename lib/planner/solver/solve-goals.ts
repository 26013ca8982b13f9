import type { Milp, MilpSolver } from './milp'
import { withRows } from './milp'

export interface SolvedGoals {
  values: Float64Array
  /** Value of each goal, in order, and whether it is proven best given those before it. */
  goals: { value: number; bound: number; proven: boolean }[]
}

/**
 * Meets goals strictly one after another: each is minimised among the solutions that are best in all before it. Every
 * goal's costs are whole numbers, so a bound within one unit proves it. For small programs; null when there is no
 * solution, or none was found in time.
 */
export function solveGoals(
  milp: Milp,
  goals: readonly ReadonlyMap<number, number>[],
  solver: MilpSolver,
  timeLimitSeconds: number,
): SolvedGoals | null {
  const begin = performance.now()
  let program = milp
  let values: Float64Array | null = null
  let open = false
  const solved: SolvedGoals['goals'] = []
  for (const goal of goals) {
    const cost = new Array<number>(milp.cost.length).fill(0)
    for (const [column, c] of goal) cost[column] = c
    const found = solver.solve(
      { ...program, cost },
      {
        timeLimitSeconds: Math.max(0.05, timeLimitSeconds - (performance.now() - begin) / 1000),
        absoluteGap: 0.99,
        relativeGap: 0,
        ...(values && { start: [...values] }),
      },
    )
    values = found.values ?? values
    if (!values) return null
    let value = 0
    for (const [column, c] of goal) value += c * (values[column] ?? 0)
    value = Math.round(value)
    const bound: number = open ? 0 : Math.min(value, Math.max(0, Math.ceil(found.bound - 1e-5)))
    open ||= bound < value || found.status !== 'optimal'
    solved.push({ value, bound, proven: !open })
    program = withRows(program, [{ upper: value, entries: [...goal] }])
  }
  return values && { values, goals: solved }
}
