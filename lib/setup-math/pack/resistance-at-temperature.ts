import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/** Gas constant, J/(mol K). CODATA 2018, exact. */
const gasConstant = 8.314462618
/** Activation energy of a lithium cell's resistance, J/mol. Common practice, no source: calibrate by two readings. */
export const usualActivationEnergy = 20_000
/** Above this, measured cells gain nothing more: 9.8 mohm at 20 and at 40 °C, 5.05 at 25 and 5.9 at 41 °C (tables read in code, provenance not verified). */
export const warmEnoughC = 25

/**
 * Pack resistance at another temperature, ohm: Arrhenius, R = Rref exp(Ea/Rg (1/T - 1/Tref)), flat above 25 °C. Cold packs sag more; the rule book
 * says how warm they may be, and above 60 °C a lithium pack is in danger.
 * @throws RangeProblem
 */
export function resistanceAtTemperature(input: {
  resistanceOhm: number
  measuredAtC: number
  temperatureC: number
  activationEnergyJPerMol?: number
}): number {
  checkObject('pack', input)
  const range = { min: -30, max: 80, unit: '°C' }
  const ea = checkNumber('activationEnergyJPerMol', input.activationEnergyJPerMol ?? usualActivationEnergy, {
    min: 0,
    max: 1e5,
  })
  const t = Math.min(warmEnoughC, checkNumber('temperatureC', input.temperatureC, range)) + 273.15
  const t0 = Math.min(warmEnoughC, checkNumber('measuredAtC', input.measuredAtC, range)) + 273.15
  return (
    checkNumber('resistanceOhm', input.resistanceOhm, limits.resistance) *
    Math.exp((ea / gasConstant) * (1 / t - 1 / t0))
  )
}
