import { inverse, Matrix, QrDecomposition } from 'ml-matrix'

export interface LeastSquares {
  /** One for each column. */
  coefficients: number[]
  /** Standard errors of them, in the unit of `y` over that of the column. */
  errors: number[]
  /** Residual standard deviation, and the degrees of freedom that it rests on. */
  residualSd: number
  freedom: number
}

/**
 * Ordinary least squares by Householder's QR on columns scaled to length 1. Null where the columns can't be told apart, or nothing is left over to tell the
 * scatter by. Checked against certified values of the NIST Statistical Reference Datasets (Longley, Norris).
 */
export function leastSquares(
  rows: readonly (readonly number[])[],
  y: readonly number[],
): LeastSquares | null {
  const n = rows.length
  const p = rows[0]?.length ?? 0
  if (n <= p || p === 0) return null
  const lengths = Array.from({ length: p }, (_, k) => Math.hypot(...rows.map((r) => r[k] ?? 0)))
  if (lengths.some((l) => !(l > 0))) return null
  const x = new Matrix(rows.map((r) => r.map((v, k) => v / (lengths[k] ?? 1))))
  const qr = new QrDecomposition(x)
  const upper = qr.upperTriangularMatrix
  // A diagonal this small beside the column's own length is a column made of the others.
  for (let k = 0; k < p; k++) if (Math.abs(upper.get(k, k)) < 1e-9) return null
  const scaled = qr.solve(Matrix.columnVector([...y])).to1DArray()
  const rest = y.map((v, i) => v - scaled.reduce((s, c, k) => s + c * x.get(i, k), 0))
  const freedom = n - p
  const residualSd = Math.sqrt(rest.reduce((s, r) => s + r * r, 0) / freedom)
  const back = inverse(upper)
  return {
    coefficients: scaled.map((c, k) => c / (lengths[k] ?? 1)),
    errors: scaled.map((_, k) => (residualSd * Math.hypot(...back.getRow(k))) / (lengths[k] ?? 1)),
    residualSd,
    freedom,
  }
}
