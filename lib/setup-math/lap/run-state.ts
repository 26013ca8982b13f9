import { ledgerSlots } from './ledger'
import type { PreparedCar } from './prepared-car'

/** What is carried from one segment to the next. */
export interface RunState {
  speedMps: number
  drawnC: number
  windingC: number
  canC: number
  /** Full trigger held so far, s; 0 after any lift. */
  heldS: number
  sums: Float64Array
  /** What braking has put back into the pack, J. */
  returnedJ: number
  /** Slow sag of the pack's pairs, V, and the pack's temperature, °C. */
  slowV: number[]
  packC: number
}

export const startState = (car: PreparedCar, speedMps: number): RunState => ({
  speedMps,
  drawnC: 0,
  windingC: car.startC,
  canC: car.startC,
  heldS: 0,
  sums: new Float64Array(ledgerSlots.length),
  returnedJ: 0,
  slowV: car.slowSag.map(() => 0),
  packC: car.packStartC,
})
