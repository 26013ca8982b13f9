import { checkNumber, checkObject, checkOptional } from '../check-number'
import { copperPerKelvin } from '../constants'
import { limits } from '../limits'
import { absent, type Maybe } from '../maybe'

export interface MotorHeatModel {
  windingToCanKPerW: number
  canToAmbientKPerW: number
  windingTimeConstantS: number
  canTimeConstantS: number
  resistance25Ohm: number
  /** Share per kelvin; copper's when absent. */
  copperCoefficient?: number
}

export interface HeatLoad {
  currentA: number
  seconds: number
  ambientC: number
  /** Iron and friction loss, W, into the can; none when absent. */
  ironLossW?: number
  /** Start of both nodes, °C; ambient when absent. */
  startWindingC?: number
  startCanC?: number
}

export interface MotorTemperatures {
  windingC: number
  canC: number
}

/** Past this a number is no longer a temperature but a runaway. */
const ceilingC = 2000

/**
 * Two-node motor: I² R(T) heats the winding, R(T) = R25 (1 + a (T - 25)), which gives to the can, which gives to the air; heat capacities
 * from the time constants (tau / resistance). Linear, so solved exactly by its two eigenvalues.
 * Source: A. M. Johnson, Motor Thermal Calculator (CMU Robotics, CC BY 4.0); nodes and constants as in maxon's data sheets.
 * Hot cans burn fingers, and magnets weaken for good well before the winding fails: keep to the maker's limit.
 * @returns absence when resistance and temperature chase each other beyond 2000 °C: the motor burns out
 * @throws RangeProblem
 */
export function motorHeat(model: MotorHeatModel, load: HeatLoad): Maybe<MotorTemperatures> {
  checkObject('model', model)
  checkObject('load', load)
  const r1 = checkNumber('windingToCanKPerW', model.windingToCanKPerW, limits.thermalResistance)
  const r2 = checkNumber('canToAmbientKPerW', model.canToAmbientKPerW, limits.thermalResistance)
  const c1 = checkNumber('windingTimeConstantS', model.windingTimeConstantS, limits.openSeconds) / r1
  const c2 = checkNumber('canTimeConstantS', model.canTimeConstantS, limits.openSeconds) / r2
  const r25 = checkNumber('resistance25Ohm', model.resistance25Ohm, limits.windingResistance)
  const a = checkOptional(
    'copperCoefficient',
    model.copperCoefficient,
    limits.temperatureCoefficient,
    copperPerKelvin,
  )
  const seconds = checkNumber('seconds', load.seconds, limits.seconds)
  const ambient = checkNumber('ambientC', load.ambientC, limits.celsius)
  const iron = checkOptional('ironLossW', load.ironLossW, { min: 0, max: 1e5, unit: 'W' }, 0)
  const current = checkNumber('currentA', load.currentA, limits.current)
  const w0 = checkOptional('startWindingC', load.startWindingC, limits.celsius, ambient)
  const k0 = checkOptional('startCanC', load.startCanC, limits.celsius, ambient)
  const heat = current ** 2 * r25

  // d/dt (x, y) = M (x, y) + (p, q), temperatures above ambient.
  const m11 = (heat * a - 1 / r1) / c1
  const m12 = 1 / (r1 * c1)
  const m21 = 1 / (r1 * c2)
  const m22 = -(1 / r1 + 1 / r2) / c2
  const p = (heat * (1 + a * (ambient - 25))) / c1
  const q = iron / c2
  const mean = (m11 + m22) / 2
  const half = Math.sqrt(((m11 - m22) / 2) ** 2 + m12 * m21)
  const [l1, l2] = [mean + half, mean - half]
  // e^(Mt) = s I + u M, and its integral S I + U M (Sylvester's formula; half > 0 because m12 m21 > 0).
  const [e1, e2] = [Math.exp(Math.min(700, l1 * seconds)), Math.exp(Math.min(700, l2 * seconds))]
  const [i1, i2] = [growth(l1, seconds), growth(l2, seconds)]
  const u = (e1 - e2) / (2 * half)
  const s = e2 - l2 * u
  const bigU = (i1 - i2) / (2 * half)
  const bigS = i2 - l2 * bigU
  const [x0, y0] = [w0 - ambient, k0 - ambient]
  const windingC = ambient + s * x0 + u * (m11 * x0 + m12 * y0) + bigS * p + bigU * (m11 * p + m12 * q)
  const canC = ambient + s * y0 + u * (m21 * x0 + m22 * y0) + bigS * q + bigU * (m21 * p + m22 * q)
  if (!(windingC < ceilingC && canC < ceilingC)) {
    return absent(`the winding passes ${ceilingC}°C: at this current it does not settle, it burns out`)
  }
  return { windingC, canC }
}

/** Integral of e^(lt) from 0 to t. */
const growth = (l: number, t: number): number =>
  Math.abs(l * t) < 1e-12 ? t : Math.expm1(Math.min(700, l * t)) / l

/**
 * Seconds until the winding first reaches a temperature at a steady current from ambient.
 * @returns absence when it never does within a day
 * @throws RangeProblem
 */
export function timeToWindingTemperature(
  model: MotorHeatModel,
  load: Omit<HeatLoad, 'seconds'>,
  limitC: number,
): Maybe<number> {
  checkNumber('limitC', limitC, limits.celsius)
  const reached = (seconds: number) => {
    const t = motorHeat(model, { ...load, seconds })
    return 'absent' in t || t.windingC >= limitC
  }
  let [lo, hi] = [0, 1]
  if (reached(0)) return 0
  while (!reached(hi)) {
    lo = hi
    hi *= 2
    if (hi > 86_400) return absent(`the winding stays below ${limitC}°C`)
  }
  for (let i = 0; i < 80 && hi - lo > 1e-12 * hi; i++) {
    const mid = (lo + hi) / 2
    if (reached(mid)) hi = mid
    else lo = mid
  }
  return hi
}
