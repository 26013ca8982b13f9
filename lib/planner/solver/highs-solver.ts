import type { Highs } from 'highs'
import type { Milp, MilpOptions, MilpOutcome, MilpSolver } from './milp'

/**
 * Presolve rules of HiGHS 1.15.1 that are left off (bits of `presolve_rule_off`: aggregator, sparsify, enumeration).
 * With all three on, one in a few thousand of the planner's programs came back wrong or failed.
 */
const RULES_OFF = 2 ** 12 + 2 ** 14 + 2 ** 16
/** The native code of "a feasible primal solution is held". */
const FEASIBLE = 2

/**
 * A solver on a loaded HiGHS runtime. Loading is the caller's: `await loadHighs()` on Node, with `locateFile` in a
 * browser's worker. Solving blocks the thread, hence a worker. A program that HiGHS fails on is solved again without
 * presolve.
 */
export function highsSolver(highs: Highs): MilpSolver {
  return {
    solve(milp, options) {
      try {
        return solveOnce(highs, milp, options, 'choose')
      } catch (error) {
        if (error instanceof highs.errors.HighsError) return solveOnce(highs, milp, options, 'off')
        throw error
      }
    },
  }
}

function solveOnce(highs: Highs, milp: Milp, options: MilpOptions, presolve: 'choose' | 'off'): MilpOutcome {
  const begin = performance.now()
  const integers = milp.integer.some(Boolean)
  const numCols = milp.cost.length
  const numRows = milp.rowLower.length
  const source = {
    numCols,
    numRows,
    colCost: milp.cost,
    colLower: milp.lower,
    colUpper: milp.upper,
    rowLower: milp.rowLower,
    rowUpper: milp.rowUpper,
    matrix: {
      format: 'csr' as const,
      numRows,
      numCols,
      starts: milp.rowStart,
      indices: milp.index,
      values: milp.value,
    },
    integrality: Int32Array.from(milp.integer, (i) => (i ? 1 : 0)),
  }
  return highs.withModel(source, (model): MilpOutcome => {
    model.options.set({
      output_flag: false,
      presolve,
      presolve_rule_off: RULES_OFF,
      time_limit: options.timeLimitSeconds,
      mip_abs_gap: options.absoluteGap,
      mip_rel_gap: options.relativeGap,
    })
    if (options.start) model.setSolution({ colValue: [...options.start] })
    model.run()
    const status = model.getModelStatus()
    const known = highs.constants.modelStatus
    const seconds = (performance.now() - begin) / 1000
    if (status === known.infeasible)
      return {
        status: 'infeasible',
        values: null,
        objective: Infinity,
        bound: Infinity,
        seconds,
        reducedCosts: null,
        rowDuals: null,
      }
    const feasible = Number(model.info.get('primal_solution_status')) === FEASIBLE
    const solution = feasible ? model.getSolution() : null
    const objective = feasible ? model.getObjectiveValue() : Infinity
    const optimal = status === known.optimal
    return {
      status: optimal ? 'optimal' : 'stopped',
      values: solution?.colValue ?? null,
      objective,
      bound: integers ? Number(model.info.get('mip_dual_bound')) : optimal ? objective : -Infinity,
      seconds,
      reducedCosts: !integers && optimal ? (solution?.colDual ?? null) : null,
      rowDuals: !integers && optimal ? (solution?.rowDual ?? null) : null,
    }
  })
}
