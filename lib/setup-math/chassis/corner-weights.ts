import { checkNumber, checkObject } from '../check-number'

/** Left front, right front, left rear, right rear: any one unit of mass or weight. */
export interface CornerLoads {
  lf: number
  rf: number
  lr: number
  rr: number
}

export interface CornerWeights {
  total: number
  frontPercent: number
  leftPercent: number
  /** (RF + LR) / total. */
  crossPercent: number
  rearPercent: number
  rightPercent: number
}

/** Shares of four scales' readings. Source: definition; chassis setup handbooks, from memory. @throws RangeProblem */
export function cornerWeights(loads: CornerLoads): CornerWeights {
  checkObject('cornerWeights', loads)
  const limit = { min: 0, max: 1e6 }
  const lf = checkNumber('lf', loads.lf, limit)
  const rf = checkNumber('rf', loads.rf, limit)
  const lr = checkNumber('lr', loads.lr, limit)
  const rr = checkNumber('rr', loads.rr, limit)
  const total = checkNumber('total', lf + rf + lr + rr, { min: 0, max: 4e6, above: true })
  const percent = (x: number) => (100 * x) / total
  return {
    total,
    frontPercent: percent(lf + rf),
    leftPercent: percent(lf + lr),
    crossPercent: percent(rf + lr),
    rearPercent: percent(lr + rr),
    rightPercent: percent(rf + rr),
  }
}
