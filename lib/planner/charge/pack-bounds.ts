import type { Milp, MilpSolver } from '../solver/milp'
import { relaxation, withCost, withRows } from '../solver/milp'
import { narrowed } from '../solver/narrowed'

/** All goals count in whole units, so a bound within one unit of a value proves it. */
export const UNIT_GAP = 0.99
const EPSILON = 1e-5
/** The share of the time left that one search for whole numbers may take. */
const SHARE = 0.5
/** So often a goal is raised by a unit and tried again before its true least is worked out. */
const UNITS_TRIED = 3

export interface PackBounds {
  kind: 'bounded' | 'impossible'
  /** Per goal: no plan is below it while every goal before is at its bound. May stop short when time runs out. */
  bounds: number[]
  /** `faces[k]`: the program narrowed to where goals before the k-th are at their bounds. */
  faces: Milp[]
  /** Per goal: the least it can be on its face, proven. Above it only where a value was given. */
  least: number[]
  /** A choice of packs that attains all bounds, if one was found. */
  values: Float64Array | null
}

export const roundedUp = (bound: number): number => Math.max(0, Math.ceil(bound - EPSILON))

/**
 * Bounds of goals met strictly one after another, by relaxations first: each goal's relaxation tells how low it can
 * be and narrows the program to the solutions that are, which mostly leaves the last goal a small search that proves
 * them all. Where it finds none, the goal that has to give way is raised to its true least, and the rest follows.
 *
 * @param given values that the first goals are known to have (each at least what the program alone would allow)
 */
export function packBounds(
  program: Milp,
  goals: readonly ReadonlyMap<number, number>[],
  given: readonly number[],
  solver: MilpSolver,
  left: () => number,
): PackBounds {
  const result: PackBounds = { kind: 'bounded', bounds: [], faces: [program], least: [], values: null }
  const { bounds, faces, least } = result
  const last = goals.length - 1
  const goal = (k: number): ReadonlyMap<number, number> => goals[k] ?? new Map()
  const face = (k: number): Milp => faces[k] ?? program
  const whole = (k: number, from: number): ReturnType<MilpSolver['solve']> =>
    solver.solve(
      withCost(
        from > 0 ? withRows(face(k), [{ lower: from, upper: Infinity, entries: [...goal(k)] }]) : face(k),
        goal(k),
      ),
      { timeLimitSeconds: left() * SHARE, absoluteGap: UNIT_GAP, relativeGap: 0 },
    )
  /** Narrows goal k's face to a value, or to the relaxation's own bound; says when there is nothing on it. */
  const narrow = (k: number, value: number | null): 'narrowed' | 'empty' | 'stopped' => {
    const relaxed = solver.solve(relaxation(withCost(face(k), goal(k))), {
      timeLimitSeconds: left(),
      absoluteGap: 0,
      relativeGap: 0,
    })
    if (relaxed.status === 'infeasible') return 'empty'
    if (relaxed.status !== 'optimal') return 'stopped'
    least[k] = Math.max(least[k] ?? 0, roundedUp(relaxed.objective))
    bounds[k] = value ?? least[k]
    faces[k + 1] = narrowed(face(k), relaxed, goal(k), bounds[k])
    return 'narrowed'
  }
  /** The goal that cannot be at its bound once those before it are, at its true least; -1 when there is none. */
  const raise = (from: number): number | 'stopped' => {
    for (let k = from; k >= given.length; k--) {
      const found = whole(k, (bounds[k] ?? -1) + 1)
      if (found.status === 'infeasible') continue
      bounds.length = least.length = k
      faces.length = k + 1
      bounds[k] = least[k] = Math.max(roundedUp(found.bound), 0)
      if (found.status !== 'optimal') return 'stopped'
      bounds[k] = least[k] = Math.round(found.objective)
      result.values = found.values
      return k
    }
    return -1
  }

  let settled = given.length
  let tried = 0
  for (let k = 0; k < settled; k++) if (narrow(k, given[k] ?? 0) !== 'narrowed') return result
  for (;;) {
    let dead: number | null = null
    let k = settled
    for (; k < last && dead === null; k++) {
      const outcome = narrow(k, null)
      if (outcome === 'stopped') return result
      if (outcome === 'empty') dead = k - 1
    }
    if (dead === null) {
      if (last < settled) return result
      const found = whole(Math.max(0, last), 0)
      if (found.status === 'infeasible') dead = last - 1
      else {
        if (last >= 0) bounds[last] = least[last] = roundedUp(found.bound)
        if (found.status === 'optimal' && last >= 0) bounds[last] = least[last] = Math.round(found.objective)
        result.values = found.values ?? result.values
        return result
      }
    }
    if (dead >= given.length && tried < UNITS_TRIED) {
      // Nothing is as low as the bound, so the bound is one unit more.
      tried++
      bounds.length = least.length = faces.length = dead + 1
      least[dead] = (bounds[dead] ?? 0) + 1
      settled = dead + 1
    } else {
      const raised = raise(dead)
      if (raised === 'stopped') return result
      if (raised < 0) return { ...result, kind: given.length === 0 ? 'impossible' : 'bounded' }
      settled = raised + 1
    }
    if (narrow(settled - 1, least[settled - 1] ?? 0) !== 'narrowed') return result
  }
}
