import { checkNumber, checkObject } from '../check-number'
import { limits } from '../limits'

/** Nominal energy, Wh: volts x Ah. Air travel counts it: IATA DGR / FAA PackSafe, spares over 100 Wh need the carrier's approval. */
export function packEnergyWh(input: { voltageV: number; capacityAh: number }): number {
  const { voltageV, capacityAh } = checkObject('pack', input)
  return (
    checkNumber('voltageV', voltageV, limits.voltage) * checkNumber('capacityAh', capacityAh, limits.capacity)
  )
}

export type AirTravel = 'carry-on' | 'carry-on with approval' | 'not carried'

/**
 * How a spare lithium-ion pack may fly as a passenger's: to 100 Wh in carry-on, over 100 to 160 Wh with the carrier's approval,
 * above not at all. IATA Dangerous Goods Regulations 2.3; FAA PackSafe. The carrier's own rules come first; spares never go in
 * checked baggage and their terminals are protected.
 */
export function airTravel(energyWh: number): AirTravel {
  checkNumber('energyWh', energyWh, { min: 0, max: 1e9, unit: 'Wh' })
  return energyWh <= 100 ? 'carry-on' : energyWh <= 160 ? 'carry-on with approval' : 'not carried'
}
