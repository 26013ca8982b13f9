import { checkNumber } from '../check-number'
import { limits } from '../limits'
import { absent, isAbsent, type Maybe } from '../maybe'
import { motorHeat, type HeatLoad, type MotorHeatModel } from './motor-heat'

/** A can temperature read right after a run, with the run's mean-square current (A, its root). */
export interface CanReading {
  currentA: number
  seconds: number
  ambientC: number
  canC: number
  ironLossW?: number
}

/**
 * Fits the resistance from can to air, K/W, to measured can temperatures (least squares, golden section), the other constants kept; a longer
 * race then follows from `motorHeat`. An infrared reading at the can is a few kelvin off: take several.
 * @returns absence when no resistance from 0.05 to 100 K/W comes near
 * @throws RangeProblem
 */
export function calibrateCan(
  model: MotorHeatModel,
  readings: readonly CanReading[],
): Maybe<{ model: MotorHeatModel; rmsK: number }> {
  if (readings.length === 0) return absent('no can temperature has been read')
  const loads = readings.map(({ canC, ...load }) => ({
    load: load satisfies HeatLoad,
    canC: checkNumber('canC', canC, limits.celsius),
  }))
  const capacity = model.canTimeConstantS / model.canToAmbientKPerW
  // The can's heat capacity is its metal's: a change of airflow changes resistance and time constant together.
  const at = (logR: number): MotorHeatModel => {
    const canToAmbientKPerW = Math.exp(logR)
    return { ...model, canToAmbientKPerW, canTimeConstantS: capacity * canToAmbientKPerW }
  }
  const rms = (logR: number) => {
    const m = at(logR)
    const sum = loads.reduce((s, { load, canC }) => {
      const t = motorHeat(m, load)
      return s + (isAbsent(t) ? 1e6 : (t.canC - canC) ** 2)
    }, 0)
    return Math.sqrt(sum / loads.length)
  }
  const [low, high] = [Math.log(0.05), Math.log(100)]
  let [lo, hi] = [low, high]
  const golden = (Math.sqrt(5) - 1) / 2
  for (let i = 0; i < 80; i++) {
    const [x1, x2] = [hi - golden * (hi - lo), lo + golden * (hi - lo)]
    if (rms(x1) < rms(x2)) hi = x2
    else lo = x1
  }
  const best = (lo + hi) / 2
  if (best < low + 1e-3 || best > high - 1e-3)
    return absent('the readings do not fit this motor: check current, time and ambient')
  return { model: at(best), rmsK: rms(best) }
}
