import { checkNumber, checkObject, checkOptional } from '../check-number'
import { limits } from '../limits'

/** Gas constant of dry air, J/(kg K), and standard pressure, Pa: ICAO standard atmosphere. */
const airGasConstant = 287.05
const standardPressurePa = 101_325
/** W/(m² K⁴): CODATA 2018. */
const stefanBoltzmann = 5.670374419e-8
const kelvin = 273.15

export interface AirProperties {
  conductivityWPerMK: number
  kinematicViscosityM2PerS: number
  prandtl: number
}

/**
 * Dry air at standard pressure, for -70 to 130 °C. Sutherland's law for viscosity and conductivity, a parabola for the heat capacity; the constants as
 * printed at egichem.com, Properties of dry air, after Poling, Prausnitz, O'Connell, Properties of Gases and Liquids (2001).
 * @throws RangeProblem
 */
export function airProperties(airC: number): AirProperties {
  const t = checkNumber('airC', airC, { min: -70, max: 130, unit: '°C' }) + kelvin
  const viscosity = (1.4592e-6 * t ** 1.5) / (109.1 + t)
  const conductivityWPerMK = (2.334e-3 * t ** 1.5) / (164.54 + t)
  const heatCapacity = 1030.5 - 0.19975 * t + 3.9734e-4 * t * t
  return {
    conductivityWPerMK,
    kinematicViscosityM2PerS: (viscosity * airGasConstant * t) / standardPressurePa,
    prandtl: (heatCapacity * viscosity) / conductivityWPerMK,
  }
}

/**
 * Mean Nusselt number of a cylinder in cross flow. Such correlations are good to some 20% (from memory); for Re Pr above 0.2.
 * Source: Churchill, Bernstein, J. Heat Transfer 99 (1977) 300-306; Incropera, Fundamentals of Heat and Mass Transfer, ch. 7.
 * @throws RangeProblem
 */
export function nusseltCylinder(input: { reynolds: number; prandtl: number }): number {
  checkObject('flow', input)
  const pr = checkNumber('prandtl', input.prandtl, { min: 1e-3, max: 1e5, unit: '' })
  const re = checkNumber('reynolds', input.reynolds, { min: 0.2 / pr, max: 1e7, unit: '' })
  return (
    0.3 +
    ((0.62 * Math.sqrt(re) * Math.cbrt(pr)) / (1 + (0.4 / pr) ** (2 / 3)) ** 0.25) *
      (1 + (re / 282_000) ** (5 / 8)) ** (4 / 5)
  )
}

export interface CanCooling {
  diameterMm: number
  lengthMm: number
  /** Air past the can, m/s: inside a body far less than the car's speed. */
  airSpeedMps: number
  airC: number
  canC: number
  /** Of the can's surface to heat radiation, 0..1; 0.5 when absent: an anodised or printed can lies between bare metal and paint. */
  emissivity?: number
}

/**
 * Thermal resistance from a motor's can to the air, K/W: the mantle and one end in cross flow (the other sits on the mount), and radiation. What the
 * mount conducts away is left out, so this errs on the hot side.
 * @throws RangeProblem
 * @example canToAmbient({ diameterMm: 36, lengthMm: 52, airSpeedMps: 3, airC: 22, canC: 70 }) // about 4
 */
export function canToAmbient(input: CanCooling): number {
  checkObject('cooling', input)
  const diameterM = checkNumber('diameterMm', input.diameterMm, { min: 5, max: 200, unit: 'mm' }) / 1000
  const lengthM = checkNumber('lengthMm', input.lengthMm, { min: 5, max: 500, unit: 'mm' }) / 1000
  const speed = checkNumber('airSpeedMps', input.airSpeedMps, { min: 0.05, max: 50, unit: 'm/s' })
  const airC = checkNumber('airC', input.airC, { min: -40, max: 60, unit: '°C' })
  const canC = checkNumber('canC', input.canC, { min: -40, max: 150, unit: '°C' })
  const emissivity = checkOptional('emissivity', input.emissivity, limits.share, 0.5)
  const air = airProperties((airC + canC) / 2)
  const nusselt = nusseltCylinder({
    reynolds: (speed * diameterM) / air.kinematicViscosityM2PerS,
    prandtl: air.prandtl,
  })
  const convection = (nusselt * air.conductivityWPerMK) / diameterM
  const [hot, cold] = [canC + kelvin, airC + kelvin]
  const radiation = emissivity * stefanBoltzmann * (hot + cold) * (hot * hot + cold * cold)
  const areaM2 = Math.PI * diameterM * (lengthM + diameterM / 4)
  return 1 / ((convection + radiation) * areaM2)
}
