import type { Pack } from '../../board'
import { chargeTime, isAbsent } from '../../setup-math'
import { POUCH_REST_VOLTAGE } from '../projections/pouch-rest-voltage'

/** Full voltage of the usual lithium cell; the class's limit is on the pack. */
export const CHARGE_VOLTS_PER_CELL = 4.2
/** Left after a five-minute run, and at storage level. Common practice, no source. */
export const SOC_AFTER_RUN = 0.2
export const SOC_AT_STORAGE = 0.5
/** The usual end of a charge: the current has fallen to a twentieth of 1C. Common practice, no source. */
const CUTOFF_C = 0.05
/** Plugging in, balance leads, writing down; and a real taper is longer than the model's. Common practice, no source. */
const HANDLING_S = 300
const TAPER_RESERVE = 1.1

/** How long a charge to full takes, handling and a reserve included, s; null when the pack's data do not say. */
export function chargeSeconds(pack: Pack, fromSoc: number, amps: number): number | null {
  const capacityAh = (pack.capacityMah ?? 0) / 1000
  if (capacityAh <= 0 || amps <= 0) return null
  const time = chargeTime(
    {
      cells: pack.cells ?? 2,
      capacityAh,
      resistanceOhm: (pack.resistanceMilliohm ?? 0) / 1000,
      restVoltageTable: POUCH_REST_VOLTAGE,
    },
    {
      fromSoc: Math.min(fromSoc, 0.99),
      toSoc: 1,
      currentA: amps,
      fullVoltsPerCell: CHARGE_VOLTS_PER_CELL,
      cutoffA: CUTOFF_C * capacityAh,
    },
  )
  return isAbsent(time) ? null : time.totalS * TAPER_RESERVE + HANDLING_S
}
