import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'
import { RangeProblem } from '../range-problem'

export interface RaisedAxleWeighing {
  wheelbaseM: number
  /** How far the rear axle is raised, m. */
  raiseM: number
  wheelRadiusM: number
  massKg: number
  /** Reading under the front wheels, level and raised, kg. */
  frontLevelKg: number
  frontRaisedKg: number
}

export interface CgHeight {
  heightM: number
  /** What one gram at the front scale moves the answer by, m: how well the scale must read. */
  perGramM: number
}

/**
 * Height of the center of gravity by raising the rear axle: h = r + (Wf' - Wf) L / (W tan theta), sin theta = raise / L. Suspension locked,
 * wheels free to roll. Source: axle lift method of ISO 10392 (a road vehicle's center of gravity), and raised-axle method in Milliken, Race Car Vehicle Dynamics ch. 18 (both from memory).
 * @returns absence when the front got lighter: a wheel was held or the scale read before it settled
 * @throws RangeProblem
 */
export function cgHeight(w: RaisedAxleWeighing): Maybe<CgHeight> {
  checkObject('weighing', w)
  const wheelbase = checkNumber('wheelbaseM', w.wheelbaseM, { min: 0.01, max: 100, unit: 'm' })
  const raise = checkNumber('raiseM', w.raiseM, {
    min: 0,
    max: wheelbase,
    above: true,
    below: true,
    unit: 'm',
  })
  const radius = checkNumber('wheelRadiusM', w.wheelRadiusM, { min: 0, max: 10, unit: 'm' })
  const mass = checkNumber('massKg', w.massKg, limits.mass)
  const level = checkNumber('frontLevelKg', w.frontLevelKg, { min: 0, max: mass, unit: 'kg' })
  const raised = checkNumber('frontRaisedKg', w.frontRaisedKg, { min: 0, max: mass, unit: 'kg' })
  const tan = raise / Math.sqrt(wheelbase ** 2 - raise ** 2)
  if (!(tan > 1e-6)) throw new RangeProblem('raiseM', raise, 'enough to tilt the car')
  const perKg = wheelbase / (mass * tan)
  const heightM = radius + (raised - level) * perKg
  if (heightM <= 0)
    return absent('the front must get heavier when the rear is raised: weigh again with all wheels free')
  return { heightM, perGramM: perKg / 1000 }
}
