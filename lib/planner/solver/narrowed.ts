import type { Milp, MilpOutcome } from './milp'
import { withRows } from './milp'

/** Duals smaller than this are noise. */
const NOISE = 1e-5

/**
 * Narrows a program of whole numbers to the solutions that cost no more than `target`, by what its solved relaxation
 * says: a column away from its bound, or a row off its side, that alone would cost more than the room between the
 * relaxation and the target is kept there. Where that leaves room, a row for the cost itself is added.
 *
 * Every row with a dual must have whole coefficients (it moves off its side by one at least).
 */
export function narrowed(
  program: Milp,
  relaxed: MilpOutcome,
  costs: ReadonlyMap<number, number>,
  target: number,
): Milp {
  const room = Math.max(0, target - relaxed.objective)
  const lower = [...program.lower]
  const upper = [...program.upper]
  relaxed.reducedCosts?.forEach((dual, column) => {
    if (dual > room + NOISE) upper[column] = lower[column] ?? 0
    else if (-dual > room + NOISE) lower[column] = upper[column] ?? 0
  })
  const rowLower = [...program.rowLower]
  const rowUpper = [...program.rowUpper]
  relaxed.rowDuals?.forEach((dual, row) => {
    if (dual > room + NOISE) rowUpper[row] = rowLower[row] ?? 0
    else if (-dual > room + NOISE) rowLower[row] = rowUpper[row] ?? 0
  })
  const face: Milp = { ...program, lower, upper, rowLower, rowUpper }
  const settled = relaxed.reducedCosts && relaxed.rowDuals && room < NOISE
  return settled ? face : withRows(face, [{ upper: target, entries: [...costs] }])
}
