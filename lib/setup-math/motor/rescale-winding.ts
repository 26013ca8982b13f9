import { checkNumber, checkObject } from '../check-number'
import { checkMotor, type MotorConstants } from './motor-curve'

const turns = { min: 0.5, max: 1000, unit: 'turns' }

/**
 * Another winding of the same motor family, from a *measured* one: Kv ~ 1/turns, R ~ turns^2 (same copper space), and
 * I0 ~ 1/turns (the friction torque Kt I0 belongs to the frame). A published pair of windings holds the law for R within
 * 5.2% (maxon catalogue, RE 40), so treat R as about 5% uncertain.
 * @throws RangeProblem
 * @example rescaleWinding({ kvRpmPerVolt: 2200, resistanceOhm: 0.045, noLoadCurrentA: 2 }, { fromTurns: 13.5, toTurns: 17.5 })
 */
export function rescaleWinding<M extends MotorConstants>(
  motor: M,
  change: { fromTurns: number; toTurns: number },
): M {
  checkMotor(motor)
  checkObject('change', change)
  const ratio =
    checkNumber('toTurns', change.toTurns, turns) / checkNumber('fromTurns', change.fromTurns, turns)
  return {
    ...motor,
    kvRpmPerVolt: motor.kvRpmPerVolt / ratio,
    resistanceOhm: motor.resistanceOhm * ratio ** 2,
    noLoadCurrentA: motor.noLoadCurrentA / ratio,
  }
}
