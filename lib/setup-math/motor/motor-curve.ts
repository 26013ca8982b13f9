import { checkNumber, checkObject } from '../check-number'
import { radPerSecPerRpm } from '../constants'
import { limits } from '../limits'
import { RangeProblem } from '../range-problem'
import { torqueConstant } from './torque-constant'

export interface MotorConstants {
  /** Speed constant, the inverse of back-EMF: rpm per volt behind the winding's resistance. */
  kvRpmPerVolt: number
  resistanceOhm: number
  noLoadCurrentA: number
}

export interface MotorPoint {
  rpm: number
  currentA: number
  powerW: number
  efficiency: number
}

export interface MotorCurve {
  torqueConstantNmPerA: number
  noLoadRpm: number
  stallCurrentA: number
  /** Torque at the shaft at standstill, friction taken off: Kt (Is - I0). */
  stallTorqueNm: number
  maxEfficiency: number
  bestEfficiency: MotorPoint & { torqueNm: number }
  mostPower: MotorPoint & { torqueNm: number }
  /** The point at a shaft torque, 0 to the stall torque. @throws RangeProblem */
  at(torqueNm: number): MotorPoint
}

export function checkMotor(motor: MotorConstants, name = 'motor'): MotorConstants {
  checkObject(name, motor)
  checkNumber(`${name}.kvRpmPerVolt`, motor.kvRpmPerVolt, limits.kv)
  checkNumber(`${name}.resistanceOhm`, motor.resistanceOhm, limits.windingResistance)
  checkNumber(`${name}.noLoadCurrentA`, motor.noLoadCurrentA, limits.current)
  return motor
}

/**
 * The straight-line motor at a constant voltage. I = (V - w/Kv)/R, torque = Kt (I - I0), efficiency = torque w / (V I),
 * best at I = sqrt(I0 Is), where it is (1 - sqrt(I0/Is))^2.
 * Source: maxon, "Formulae Handbook", motor chapter, from memory; checked against two makers' published rows.
 * @throws RangeProblem also when the no-load current reaches the stall current: such a motor does not turn
 */
export function motorCurve(motor: MotorConstants, voltageV: number): MotorCurve {
  const { kvRpmPerVolt: kv, resistanceOhm: r, noLoadCurrentA: i0 } = checkMotor(motor)
  const v = checkNumber('voltageV', voltageV, limits.voltage)
  const kt = torqueConstant(kv)
  const stallCurrentA = v / r
  if (i0 >= stallCurrentA) {
    throw new RangeProblem('motor.noLoadCurrentA', i0, `below the stall current (${stallCurrentA} A)`)
  }
  const stallTorqueNm = kt * (stallCurrentA - i0)
  const at = (torqueNm: number): MotorPoint => {
    checkNumber('torqueNm', torqueNm, { min: 0, max: stallTorqueNm, unit: 'Nm' })
    const currentA = torqueNm / kt + i0
    const rpm = Math.max(0, kv * (v - currentA * r))
    const powerW = torqueNm * rpm * radPerSecPerRpm
    return { rpm, currentA, powerW, efficiency: currentA === 0 ? 1 : powerW / (v * currentA) }
  }
  const point = (torqueNm: number) => ({ torqueNm, ...at(torqueNm) })
  return {
    torqueConstantNmPerA: kt,
    noLoadRpm: kv * (v - i0 * r),
    stallCurrentA,
    stallTorqueNm,
    maxEfficiency: (1 - Math.sqrt(i0 / stallCurrentA)) ** 2,
    bestEfficiency: point(kt * (Math.sqrt(i0 * stallCurrentA) - i0)),
    mostPower: point(stallTorqueNm / 2),
    at,
  }
}
