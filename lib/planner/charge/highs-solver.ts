import type { Highs } from 'highs'
import type { MilpSolver } from './milp'

/**
 * A solver on a loaded HiGHS runtime. Loading is the caller's: `await loadHighs()` on Node, with `locateFile` in a
 * browser's worker. Solving blocks the thread, hence a worker.
 */
export function highsSolver(highs: Highs): MilpSolver {
  return {
    solve(milp, options) {
      const begin = performance.now()
      return highs.withModel(
        {
          numCols: milp.cost.length,
          numRows: milp.rowLower.length,
          colCost: milp.cost,
          colLower: milp.lower,
          colUpper: milp.upper,
          rowLower: milp.rowLower,
          rowUpper: milp.rowUpper,
          matrix: {
            format: 'csr',
            numRows: milp.rowLower.length,
            numCols: milp.cost.length,
            starts: milp.rowStart,
            indices: milp.index,
            values: milp.value,
          },
          integrality: Int32Array.from(milp.integer, (i) => (i ? 1 : 0)),
        },
        (model) => {
          model.options.set({
            output_flag: false,
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
              status: 'infeasible' as const,
              values: null,
              objective: Infinity,
              bound: Infinity,
              seconds,
              reducedCosts: null,
            }
          // 2 is the native code for "a feasible primal solution is held".
          const feasible = Number(model.info.get('primal_solution_status')) === 2
          const integers = milp.integer.some(Boolean)
          const solution = feasible ? model.getSolution() : null
          return {
            status: status === known.optimal ? ('optimal' as const) : ('stopped' as const),
            values: solution?.colValue ?? null,
            objective: feasible ? model.getObjectiveValue() : Infinity,
            bound: integers ? Number(model.info.get('mip_dual_bound')) : model.getObjectiveValue(),
            seconds,
            reducedCosts: !integers && status === known.optimal ? (solution?.colDual ?? null) : null,
          }
        },
      )
    },
  }
}
