import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'
import { RangeProblem } from '../range-problem'

/** A place where ballast may go: where it sits, and how much fits. */
export interface BallastPlace {
  name: string
  /** From the rear axle towards the front, as a share of the wheelbase (0 rear axle, 1 front axle; may lie outside). */
  forward: number
  /** From the right wheels towards the left, as a share of the track (0 right, 1 left). */
  leftward: number
  maxKg: number
}

export interface BallastTarget {
  frontPercent?: number
  leftPercent?: number
  minimumKg?: number
  /** Half the width, in percent points, within which a target counts as met; 0 when absent. */
  tolerancePercent?: number
}

export interface BallastPlan {
  /** kg per place, in the order given. */
  massesKg: number[]
  addedKg: number
  totalKg: number
  frontPercent: number
  leftPercent: number
}

/**
 * Least added mass over bounded places that reaches the target shares and the minimum weight. Both shares are linear in the masses once
 * multiplied out, so this is a linear programme; with at most three rows its vertices are found exactly by the simplex method (Bland's rule).
 * @returns absence when the places cannot reach it
 * @throws RangeProblem
 */
export function ballastFor(
  car: { massKg: number; frontPercent: number; leftPercent: number },
  places: readonly BallastPlace[],
  target: BallastTarget,
): Maybe<BallastPlan> {
  const percent = { min: 0, max: 100, unit: '%' }
  const m = checkNumber('massKg', car.massKg, limits.mass)
  const front = checkNumber('frontPercent', car.frontPercent, percent) / 100
  const left = checkNumber('leftPercent', car.leftPercent, percent) / 100
  const tolerance = checkNumber('target.tolerancePercent', target.tolerancePercent ?? 0, percent) / 100
  if (places.length > 50) throw new RangeProblem('places', places.length, 'at most 50 places')
  places.forEach((p, i) => {
    checkNumber(`places[${i}].forward`, p.forward, { min: -2, max: 3 })
    checkNumber(`places[${i}].leftward`, p.leftward, { min: -2, max: 3 })
    checkNumber(`places[${i}].maxKg`, p.maxKg, { min: 0, max: 1e4, unit: 'kg' })
  })
  // rows: sum a_i x_i <= b
  const rows: { a: number[]; b: number }[] = []
  const share = (
    wanted: number | undefined,
    name: string,
    now: number,
    position: (p: BallastPlace) => number,
  ) => {
    if (wanted === undefined) return
    const t = checkNumber(`target.${name}`, wanted, percent) / 100
    // now m + sum pos x <= (t + tol)(m + sum x), and the same from below.
    rows.push({ a: places.map((p) => position(p) - t - tolerance), b: (t + tolerance - now) * m })
    rows.push({ a: places.map((p) => t - tolerance - position(p)), b: (now - t + tolerance) * m })
  }
  share(target.frontPercent, 'frontPercent', front, (p) => p.forward)
  share(target.leftPercent, 'leftPercent', left, (p) => p.leftward)
  if (target.minimumKg !== undefined) {
    rows.push({
      a: places.map(() => -1),
      b: m - checkNumber('target.minimumKg', target.minimumKg, limits.mass),
    })
  }
  places.forEach((p, i) => rows.push({ a: places.map((_, k) => (k === i ? 1 : 0)), b: p.maxKg }))
  const x = leastSum(rows, places.length)
  if (!x)
    return absent(
      'no ballast in these places reaches the target: allow more mass, another place, or a wider tolerance',
    )
  const addedKg = x.reduce((s, v) => s + v, 0)
  const totalKg = m + addedKg
  const along = (now: number, position: (p: BallastPlace) => number) =>
    (100 * (now * m + places.reduce((s, p, i) => s + position(p) * (x[i] ?? 0), 0))) / totalKg
  return {
    massesKg: x,
    addedKg,
    totalKg,
    frontPercent: along(front, (p) => p.forward),
    leftPercent: along(left, (p) => p.leftward),
  }
}

/**
 * Minimises the sum of x >= 0 under the rows: dual simplex, since the costs (all 1) are feasible for the dual from the start.
 * Source: Dantzig/Lemke; Chvátal, Linear Programming, ch. 10, from memory.
 */
function leastSum(rows: readonly { a: number[]; b: number }[], n: number): number[] | undefined {
  const eps = 1e-11
  const m = rows.length
  const tableau = rows.map(({ a, b }, i) => [
    ...a,
    ...Array.from({ length: m }, (_, k) => (k === i ? 1 : 0)),
    b,
  ])
  const cost = [...Array<number>(n).fill(1), ...Array<number>(m).fill(0)]
  const basis = rows.map((_, i) => n + i)
  const width = n + m
  for (let round = 0; round < 1000; round++) {
    const out = tableau.findIndex((row) => (row[width] ?? 0) < -eps)
    if (out < 0) {
      const x = Array<number>(n).fill(0)
      basis.forEach((column, i) => {
        if (column < n) x[column] = Math.max(0, tableau[i]?.[width] ?? 0)
      })
      return x
    }
    const row = tableau[out] ?? []
    let enter = -1
    let best = Infinity
    for (let j = 0; j < width; j++) {
      const a = row[j] ?? 0
      if (a < -eps && (cost[j] ?? 0) / -a < best - eps) {
        best = (cost[j] ?? 0) / -a
        enter = j
      }
    }
    if (enter < 0) return undefined
    const pivot = row[enter] ?? 1
    for (let j = 0; j <= width; j++) row[j] = (row[j] ?? 0) / pivot
    tableau.forEach((other, i) => {
      const f = other[enter] ?? 0
      if (i !== out && f !== 0)
        for (let j = 0; j <= width; j++) other[j] = (other[j] ?? 0) - f * (row[j] ?? 0)
    })
    const f = cost[enter] ?? 0
    for (let j = 0; j < width; j++) cost[j] = (cost[j] ?? 0) - f * (row[j] ?? 0)
    basis[out] = enter
  }
  return undefined
}
