import { checkNumber, checkObject } from '../check-number'
import { copperPerKelvin } from '../constants'
import { limits } from '../limits'

/**
 * A winding's resistance at another temperature, ohm: R25 (1 + a (T - 25)). a = 0.393%/K, IEC 60028 (1925), stated at 20 °C;
 * read from 25 °C as data sheets do.
 * @throws RangeProblem
 */
export function copperResistance(input: {
  resistance25Ohm: number
  temperatureC: number
  copperCoefficient?: number
}): number {
  checkObject('resistance', input)
  const a = input.copperCoefficient ?? copperPerKelvin
  return (
    checkNumber('resistance25Ohm', input.resistance25Ohm, limits.windingResistance) *
    (1 +
      checkNumber('copperCoefficient', a, limits.temperatureCoefficient) *
        // Below this the straight line has long left copper's real curve, and could cross zero.
        (checkNumber('temperatureC', input.temperatureC, { min: -20, max: 500, unit: '°C' }) - 25))
  )
}
